import type { Limb } from "../../api/results";
import { Block } from "../../components/block";
import { useUnits } from "../../units/units-context";

/** Measures by level, counted distally from the mid-patellar tendon. */
export function LevelTable({ measures }: { measures: Limb["measures"] }) {
  const { number, sign } = useUnits();
  const length = sign("mm");
  return (
    <Block title="Measures by level">
      <p className="remark">
        Levels count down from the mid-patellar tendon. The tape is taut: it bridges hollows.
      </p>
      <table className="table figures">
        <thead>
          <tr>
            <th scope="col" className="number">
              Level, {length}
            </th>
            <th scope="col" className="number">
              Tape, {length}
            </th>
            <th scope="col" className="number">
              Skin, {length}
            </th>
            <th scope="col" className="number">
              ML, {length}
            </th>
            <th scope="col" className="number">
              AP, {length}
            </th>
            <th scope="col" className="number">
              Area, {sign("mm2")}
            </th>
          </tr>
        </thead>
        <tbody>
          {measures.levels.map((level) => (
            <tr key={level.level_mm}>
              <th scope="row" className="number">
                {number(level.level_mm, "mm", 0)}
              </th>
              <td className="number">{number(level.tape_mm, "mm", 0)}</td>
              <td className="number">{number(level.perimeter_mm, "mm", 0)}</td>
              <td className="number">{number(level.ml_mm, "mm", 0)}</td>
              <td className="number">{number(level.ap_mm, "mm", 0)}</td>
              <td className="number">{number(level.area_mm2, "mm2", 1)}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </Block>
  );
}
