import type { Coupling, SeatAxis } from "../../api/results";
import { useSection } from "../../case/case-context";
import { useUnits } from "../../units/units-context";

export const AXIS_LABELS: Readonly<Record<SeatAxis, string>> = {
  balanced: "Between target and adapters",
  distal: "Distal limb",
  socket: "Socket",
  limb: "Whole limb",
  chosen: "Chosen tilt",
};

/** What each axis costs: the target off the coupling, and how far an adapter has to turn. */
export function AxisTable({ axes }: { axes: Coupling["axes"] }) {
  const [couple, change] = useSection("couple");
  const { number, sign } = useUnits();
  if (axes.length === 0) {
    return null;
  }
  return (
    <table className="table figures">
      <caption>What each axis costs, unloaded and on the bench</caption>
      <thead>
        <tr>
          <th scope="col">Axis</th>
          <th scope="col" className="number">
            Tilt, °
          </th>
          <th scope="col" className="number">
            Offset, {sign("mm")}
          </th>
          <th scope="col" className="number">
            Adapter, °
          </th>
          <th scope="col">
            <span className="unseen">Choose</span>
          </th>
        </tr>
      </thead>
      <tbody>
        {axes.map((one) => (
          <tr key={one.axis} className={one.taken ? "chosen" : undefined}>
            <th scope="row">{AXIS_LABELS[one.axis]}</th>
            <td className="number">{number(one.tilt_deg, "deg")}</td>
            <td className="number">{number(one.offset_mm, "mm")}</td>
            <td className="number">{number(one.adapter_deg, "deg")}</td>
            <td className="row-actions">
              {one.taken ? (
                "taken"
              ) : (
                <button
                  type="button"
                  onClick={() => change({ coupling: { ...couple.coupling, axis: one.axis } })}
                >
                  Take<span className="unseen"> {AXIS_LABELS[one.axis]}</span>
                </button>
              )}
            </td>
          </tr>
        ))}
      </tbody>
    </table>
  );
}
