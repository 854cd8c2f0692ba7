import type { SocketShape } from "../../api/results";
import { Fact, Facts } from "../../components/fact";
import { useUnits } from "../../units/units-context";

/** What the plan does to volume and girths. */
export function ShapeChange({ shape }: { shape: SocketShape }) {
  const { text, number, sign } = useUnits();
  const { limb_volume_ml: limb, lined_volume_ml: lined, model_volume_ml: model } = shape;
  const length = sign("mm");
  return (
    <>
      <h4>Volume below the trim line’s lowest point</h4>
      <Facts>
        <Fact name="Limb">{text(limb, "ml")}</Fact>
        {lined === limb ? null : <Fact name="Limb in its liner">{text(lined, "ml")}</Fact>}
        <Fact name="Socket">{text(model, "ml")}</Fact>
        <Fact name="Socket against what goes into it">
          {text(model - lined, "ml")} ({text(((model - lined) / lined) * 100, "%", 1)})
        </Fact>
      </Facts>
      <table className="table figures">
        <thead>
          <tr>
            <th scope="col" className="number">
              Level, {length}
            </th>
            <th scope="col" className="number">
              Limb, {length}
            </th>
            <th scope="col" className="number">
              In liner, {length}
            </th>
            <th scope="col" className="number">
              Socket, {length}
            </th>
            <th scope="col" className="number">
              Take-up asked, %
            </th>
          </tr>
        </thead>
        <tbody>
          {shape.girths.map((girth) => (
            <tr key={girth.level_mm}>
              <th scope="row" className="number">
                {number(girth.level_mm, "mm", 0)}
              </th>
              <td className="number">{number(girth.limb_mm, "mm", 0)}</td>
              <td className="number">{number(girth.lined_mm, "mm", 0)}</td>
              <td className="number">{number(girth.model_mm, "mm", 0)}</td>
              <td className="number">{number(girth.take_up_percent, "%", 1)}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </>
  );
}
