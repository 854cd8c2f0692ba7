import { Component, type ReactNode } from "react";
import { sentenceOf } from "../api/errors";

interface Props {
  readonly children: ReactNode;
  /** The boundary starts anew when this changes. */
  readonly resetKey: string;
}

interface State {
  readonly sentence: string | null;
  readonly resetKey: string;
}

/** Keeps a fault in one part of the page from taking the rest with it. */
export class ErrorBoundary extends Component<Props, State> {
  override state: State = { sentence: null, resetKey: this.props.resetKey };

  static getDerivedStateFromError(error: unknown): Partial<State> {
    return { sentence: sentenceOf(error) };
  }

  static getDerivedStateFromProps(props: Props, state: State): Partial<State> | null {
    return props.resetKey === state.resetKey ? null : { sentence: null, resetKey: props.resetKey };
  }

  override render(): ReactNode {
    if (this.state.sentence === null) {
      return this.props.children;
    }
    return (
      <div className="refusal" role="alert">
        <p className="refusal-head">This part of the page cannot be shown.</p>
        <p>{this.state.sentence}</p>
      </div>
    );
  }
}
