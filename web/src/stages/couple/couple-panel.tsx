import "./couple.css";
import type { Coupling, Withdrawal } from "../../api/results";
import { Block } from "../../components/block";
import { Fact, Facts } from "../../components/fact";
import { StageResults } from "../../components/stage-results";
import { useUnits } from "../../units/units-context";
import { labelHead, levelWords, named } from "../../words/words";
import { useStage } from "../../workshop/case-context";
import { useResults } from "../../workshop/use-viewer";
import { CouplingForm } from "./coupling-form";
import { HeightStack } from "./height-stack";
import { PartsForm } from "./parts-form";

/** Whether the coupling sits true and everything fits under the limb. */
export function CouplePanel() {
  return (
    <>
      <CouplingForm />
      <StageResults state={useStage("couple")}>
        {(coupling) => (
          <>
            <SeatFacts coupling={coupling} />
            <Block title="Build height">
              <HeightStack height={coupling.height} />
            </Block>
          </>
        )}
      </StageResults>
      <PartsForm />
    </>
  );
}

function SeatFacts({ coupling }: { coupling: Coupling }) {
  const { text } = useUnits();
  const { seat } = coupling;
  return (
    <Block title="How it sits">
      <Facts>
        <Fact name="Liner target off the coupling, unloaded: tilt">
          {text(seat.tilt_deg, "deg")}
        </Fact>
        <Fact name="Liner target off the coupling, unloaded: offset">
          {text(seat.offset_mm, "mm")}
        </Fact>
        <Fact name="Positive model out along the axis">
          <WithdrawalWords way={coupling.withdrawal} />
        </Fact>
        <Fact name="Limb in its liner out along the axis">
          <WithdrawalWords way={coupling.limb_withdrawal} />
        </Fact>
      </Facts>
      <UnderLoad />
    </Block>
  );
}

function WithdrawalWords({ way }: { way: Withdrawal }) {
  const { text } = useUnits();
  if (way.catch_mm <= 0) {
    return <>comes free</>;
  }
  return (
    <>
      catches by {text(way.catch_mm, "mm")},{" "}
      {levelWords(way.level_mm, (value, unit) => text(value, unit, 0))}
    </>
  );
}

/** Tilt and offset with the limb standing in the socket as the loads put it. */
function UnderLoad() {
  const proof = useResults("prove");
  const stale = useStage("prove").kind === "stale";
  const { number, sign } = useUnits();
  if (proof === null) {
    return null;
  }
  const cases = Object.keys(proof.coupling_tilt_deg);
  if (cases.length === 0) {
    return null;
  }
  return (
    <table className={stale ? "table figures stale" : "table figures"}>
      <caption>Under load ({labelHead(proof.interface.label).toLowerCase()})</caption>
      <thead>
        <tr>
          <th scope="col">Load</th>
          <th scope="col" className="number">
            Tilt, °
          </th>
          <th scope="col" className="number">
            Offset, {sign("mm")}
          </th>
        </tr>
      </thead>
      <tbody>
        {cases.map((name) => (
          <tr key={name}>
            <th scope="row">{named(name)}</th>
            <td className="number">{number(proof.coupling_tilt_deg[name] ?? 0, "deg")}</td>
            <td className="number">{number(proof.coupling_offset_mm[name] ?? 0, "mm")}</td>
          </tr>
        ))}
      </tbody>
    </table>
  );
}
