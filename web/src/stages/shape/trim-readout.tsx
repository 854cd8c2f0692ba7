import type { Limb } from "../../api/results";
import { useUnits } from "../../units/units-context";
import { named } from "../../words/words";
import { useSection } from "../../workshop/case-context";
import { useResults } from "../../workshop/use-viewer";

/** Which landmark each side of the trim line is read against. */
const AGAINST = [
  { side: "Front", field: "anterior_mm", landmark: "patella_lower_pole" },
  { side: "Inner side", field: "medial_mm", landmark: "medial_epicondyle" },
  { side: "Outer side", field: "lateral_mm", landmark: "lateral_epicondyle" },
  { side: "Outer side", field: "lateral_mm", landmark: "fibular_head" },
  { side: "Back", field: "posterior_mm", landmark: "popliteal_centre" },
  { side: "Back", field: "posterior_mm", landmark: "medial_hamstring_tendon" },
] as const;

/** Heights of the trim line against the landmarks that a hand finds there. */
export function TrimReadout() {
  const [shape] = useSection("shape");
  const limb = useResults("capture");
  const { text } = useUnits();
  const lines = AGAINST.flatMap(({ side, field, landmark }) => {
    const over = heightOver(limb, landmark, shape.trim[field]);
    return over === null ? [] : [{ side, landmark, over }];
  });
  return lines.length === 0 ? null : (
    <details className="more" open>
      <summary>Heights against landmarks</summary>
      <ul>
        {lines.map(({ side, landmark, over }) => (
          <li key={landmark}>
            {side}: {text(Math.abs(over), "mm", 0)} {over >= 0 ? "above" : "below"} the{" "}
            {named(landmark).toLowerCase()}
            {limb?.landmarks[landmark]?.basis === "guessed" ? ", a guess" : ""}
          </li>
        ))}
      </ul>
    </details>
  );
}

/** The trim line counts from the level that the limb frame's origin stands at. */
function heightOver(limb: Limb | null, landmark: string, heightMm: number): number | null {
  const at = limb?.landmarks[landmark];
  return at === undefined ? null : heightMm - at.point_mm[2];
}
