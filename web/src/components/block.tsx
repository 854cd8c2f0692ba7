import { type ReactNode, useId } from "react";

interface BlockProps {
  readonly title: string;
  readonly children: ReactNode;
  readonly aside?: ReactNode;
}

/** A titled part of a panel. */
export function Block({ title, children, aside }: BlockProps) {
  const id = useId();
  return (
    <section className="block" aria-labelledby={id}>
      <div className="block-head">
        <h3 id={id}>{title}</h3>
        {aside}
      </div>
      {children}
    </section>
  );
}
