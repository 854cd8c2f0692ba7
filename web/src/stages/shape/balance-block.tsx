import type { CasePressure } from "../../api/results";
import { Block } from "../../components/block";
import { Fact, Facts } from "../../components/fact";
import { useUnits } from "../../units/units-context";
import { named } from "../../words/words";
import { pushWords, sinkWords, tiltWords } from "../../workshop/balance";
import { useCaseState } from "../../workshop/case-context";
import { useLivePressure } from "./use-live-pressure";

/** Whether what presses on one side is answered on the other: where the limb goes in the socket. */
export function BalanceBlock() {
  const { shown, donned, behind } = useLivePressure();
  const { findings, uncovered } = useCaseState();
  const told = findings.find(({ code }) => code === "donned-balance");
  const stale = uncovered.length > 0;
  if (donned === null && shown === null) {
    return null;
  }
  return (
    <Block title="Balance">
      {told === undefined ? null : <p className={stale ? "stale" : undefined}>{told.text}</p>}
      <Facts>
        {donned === null ? null : <Pose shown={donned} stale={stale} />}
        {shown === null || shown.load_case === "donned" ? null : (
          <Pose shown={shown} stale={behind} />
        )}
      </Facts>
      <p className="remark">
        Of the limb in the socket, at the level of the mid-patellar tendon. The arrows on the limb
        point to where it goes; they are drawn longer than the push is.
      </p>
    </Block>
  );
}

function Pose({ shown, stale }: { shown: CasePressure; stale: boolean }) {
  const { text } = useUnits();
  const { pose } = shown;
  return (
    <Fact name={named(shown.load_case)}>
      <span className={stale ? "stale" : undefined}>
        {[pushWords(pose, text), tiltWords(pose, text), sinkWords(pose, text)].join("; ")}
      </span>
    </Fact>
  );
}
