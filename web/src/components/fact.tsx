import type { ReactNode } from "react";
import type { Basis } from "../api/results";
import { BasisBadge } from "./basis-badge";

/** A list of named results. */
export function Facts({ children }: { children: ReactNode }) {
  return <dl className="facts">{children}</dl>;
}

interface FactProps {
  readonly name: string;
  readonly children: ReactNode;
  readonly basis?: Basis;
}

/** One named result and what it rests on. */
export function Fact({ name, children, basis }: FactProps) {
  return (
    <div>
      <dt>{name}</dt>
      <dd>
        <span className="value">{children}</span>
        {basis === undefined ? null : <BasisBadge basis={basis} />}
      </dd>
    </div>
  );
}
