import type { Side } from "../api/document";

/** The side of the limb, by letter, shape and word: the wrong side is the worst mistake. */
export function SideBadge({ side }: { side: Side }) {
  return (
    <span className={`side-badge side-${side}`}>
      <b aria-hidden="true">{side === "left" ? "L" : "R"}</b>
      {side === "left" ? "Left limb" : "Right limb"}
    </span>
  );
}
