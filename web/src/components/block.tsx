import { type ReactNode, useId } from "react";
import type { ListHeading } from "./use-list-focus";

interface BlockProps {
  readonly title: string;
  readonly children: ReactNode;
  readonly aside?: ReactNode;
  /** Entry of the case document that the block is about, where no field of it is always there. */
  readonly entry?: string;
  /** Takes the focus when an entry of the block's list is removed. */
  readonly heading?: ListHeading;
}

/** A titled part of a panel. */
export function Block({ title, children, aside, entry, heading }: BlockProps) {
  const id = useId();
  return (
    <section className="block" aria-labelledby={id} data-entry={entry}>
      <div className="block-head">
        <h3 id={id} {...heading}>
          {title}
        </h3>
        {aside}
      </div>
      {children}
    </section>
  );
}
