import { useSection } from "../../case/case-context";
import { useUnits } from "../../units/units-context";
import { trimHeights } from "../../workshop/trim-heights";
import { useResults } from "../../workshop/use-viewer";

/** Heights of the trim line against the landmarks that a hand finds there. */
export function TrimReadout() {
  const [shape] = useSection("shape");
  const limb = useResults("capture");
  const { text } = useUnits();
  const heights = trimHeights(shape.trim, limb, (value) => text(value, "mm", 0));
  return heights.length === 0 ? null : (
    <details className="more" open>
      <summary>Heights against landmarks</summary>
      <ul>
        {heights.map(({ side, landmark, words }) => (
          <li key={landmark}>
            {side}: {words}
          </li>
        ))}
      </ul>
    </details>
  );
}
