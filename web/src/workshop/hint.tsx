import type { ReactNode } from "react";

interface HintProps {
  readonly children: ReactNode;
  /** What ends what is asked for. */
  readonly end?: ReactNode;
  /** Said only while something is dragged: it takes the whole line. */
  readonly passing?: boolean;
}

/** One sentence in the line above the picture. */
export function Hint({ children, end, passing = false }: HintProps) {
  return (
    <div className={passing ? "pick-hint passing" : "pick-hint"} role="status">
      <p>{children}</p>
      {end}
    </div>
  );
}
