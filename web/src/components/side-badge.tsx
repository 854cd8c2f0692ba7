import type { Side } from "../api/document";

interface SideBadgeProps {
  /** Null while nothing tells it. */
  readonly side: Side | null;
  /** Nobody has said it yet. */
  readonly guess?: boolean;
}

/** The side of the limb, by letter, shape and word: the wrong side is the worst mistake. */
export function SideBadge({ side, guess = false }: SideBadgeProps) {
  if (side === null) {
    return (
      <span className="side-badge guess">
        <b aria-hidden="true">?</b>Side not given
      </span>
    );
  }
  return (
    <span className={`side-badge side-${side}${guess ? " guess" : ""}`}>
      <b aria-hidden="true">{side === "left" ? "L" : "R"}</b>
      {side === "left" ? "Left limb" : "Right limb"}
      {guess ? "? A guess" : ""}
    </span>
  );
}
