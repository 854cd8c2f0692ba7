import "./couple.css";
import type { Coupling, Finding } from "../../api/results";
import { useDocument, useSection, useStage } from "../../case/case-context";
import { Block } from "../../components/block";
import { StageResults } from "../../components/stage-results";
import { useUnits } from "../../units/units-context";
import { directionWords } from "../../words/words";
import { Alternatives } from "./alternatives";
import { AxisTable } from "./axis-table";
import { CatalogueForm } from "./catalogue-form";
import { CouplingForm } from "./coupling-form";
import { HeightStack } from "./height-stack";
import { MisfitTable } from "./misfit-table";
import { PartsForm } from "./parts-form";
import { SeatDrawing } from "./seat-drawing";
import { Withdrawals } from "./withdrawal";

/** Whether the coupling sits true and everything fits under the limb. */
export function CouplePanel() {
  const state = useStage("couple");
  const findings = "findings" in state ? state.findings : [];
  return (
    <>
      <CouplingForm />
      <StageResults state={state}>
        {(coupling) => (
          <>
            <Seat coupling={coupling} findings={findings} />
            <Block title="Coming out again">
              <Withdrawals coupling={coupling} />
            </Block>
            <Block title="Build height">
              <HeightStack height={coupling.height} bodyMm={coupling.seat.body_height_mm} />
              <Alternatives choices={coupling.alternatives} />
            </Block>
          </>
        )}
      </StageResults>
      <CatalogueForm />
      <PartsForm />
    </>
  );
}

/** Kinds that seat a target on a body in the socket. */
const WITH_BODY: readonly string[] = ["pin", "magnet", "lanyard"];

function Seat({ coupling, findings }: { coupling: Coupling; findings: readonly Finding[] }) {
  const { person, couple, liner } = useDocument();
  return (
    <Block title="How it sits">
      {WITH_BODY.includes(coupling.seat.kind) ? (
        <>
          <SeatDrawing
            seat={coupling.seat}
            side={person.side}
            targetMm={couple.coupling.target_diameter_mm ?? liner.cap_diameter_mm}
          />
          <AxisTable axes={coupling.axes} />
          <MisfitTable coupling={coupling} findings={findings} />
        </>
      ) : (
        <p className="remark">Without a body in the socket, no target has to meet a coupling.</p>
      )}
      <ExitProposal freeDeg={coupling.free_exit_deg} />
    </Block>
  );
}

/** The free direction for the exit, where the one that is set is not free. */
function ExitProposal({ freeDeg }: { freeDeg: number | null }) {
  const [couple, change] = useSection("couple");
  const { text } = useUnits();
  const { kind, exit_angle_deg: set } = couple.coupling;
  if (kind === "sleeve" || kind === "strap") {
    return null;
  }
  if (freeDeg === null) {
    return <p className="problem">No direction for the exit is free of trim line and shin.</p>;
  }
  const same = Math.abs(Math.cos(((freeDeg - set) * Math.PI) / 180) - 1) < 1e-6;
  const side = directionWords(freeDeg);
  return same ? (
    <p className="remark">The exit, {side}, is free of trim line and shin.</p>
  ) : (
    <p className="proposal">
      The nearest direction that is free of trim line and shin is {side} ({text(freeDeg, "deg", 0)}
      ).{" "}
      <button
        type="button"
        onClick={() =>
          change({ coupling: { ...couple.coupling, exit_angle_deg: freeDeg as typeof set } })
        }
      >
        Turn the exit there
      </button>
    </p>
  );
}
