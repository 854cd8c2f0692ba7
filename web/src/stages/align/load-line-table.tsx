import type { LoadLine } from "../../api/results";
import { useUnits } from "../../units/units-context";
import { named } from "../../words/words";

const SHOWN = ["knee", "datum", "socket_base", "socket_adapter", "foot_adapter", "ankle"];

/** Where the load line of quiet standing passes the joints of the leg. */
export function LoadLineTable({ line }: { line: LoadLine | null }) {
  const { text } = useUnits();
  if (line === null) {
    return null;
  }
  const places = line.places.filter(({ name }) => SHOWN.includes(name));
  return (
    <details className="more">
      <summary>Load line in standing</summary>
      <table className="table figures tight">
        <caption>Through an assumed centre of pressure: let the person stand and look</caption>
        <thead>
          <tr>
            <th scope="col">It passes</th>
            <th scope="col">From the side</th>
            <th scope="col">From the front</th>
          </tr>
        </thead>
        <tbody>
          {places.map((place) => (
            <tr key={place.name}>
              <th scope="row">
                {named(place.name)}
                {place.basis === "default" ? ", estimated" : ""}
              </th>
              <td>
                {text(Math.abs(place.line_forward_mm), "mm", 0)}{" "}
                {place.line_forward_mm >= 0 ? "in front" : "behind"}
              </td>
              <td>
                {text(Math.abs(place.line_outward_mm), "mm", 0)}{" "}
                {place.line_outward_mm >= 0 ? "lateral" : "medial"}
              </td>
            </tr>
          ))}
        </tbody>
      </table>
    </details>
  );
}
