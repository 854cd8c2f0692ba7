import type { Point } from "../../api/document";
import type { CasePressure } from "../../api/results";
import { useCaseState } from "../../case/case-context";
import { Block } from "../../components/block";
import { Fact, Facts } from "../../components/fact";
import { FindingText } from "../../components/said";
import { useUnits } from "../../units/units-context";
import { named } from "../../words/words";
import { poseAt, pushWords, sinkWords, tiltWords } from "../../workshop/balance";
import { useLivePressure } from "../../workshop/use-live-pressure";

/** Whether what presses on one side is answered on the other: where the limb goes in the socket. */
export function BalanceBlock() {
  const { shown, donned, middle, behind } = useLivePressure();
  const { findings, uncovered } = useCaseState();
  const told = findings.find(({ code }) => code === "donned-balance");
  const stale = uncovered.length > 0;
  if (donned === null && shown === null) {
    return null;
  }
  return (
    <Block title="Balance">
      {told === undefined ? null : (
        <p className={stale ? "stale" : undefined}>
          <FindingText finding={told} />
        </p>
      )}
      <Facts>
        {donned === null ? null : <Pose shown={donned} middle={middle} stale={stale} />}
        {shown === null || shown.load_case === "donned" ? null : (
          <Pose shown={shown} middle={middle} stale={behind} />
        )}
      </Facts>
      <p className="remark">
        Of the limb in the middle of the socket. The arrows on the limb point to where it goes; they
        are drawn longer than the push is.
      </p>
    </Block>
  );
}

interface PoseProps {
  readonly shown: CasePressure;
  readonly middle: Point;
  readonly stale: boolean;
}

function Pose({ shown, middle, stale }: PoseProps) {
  const { text } = useUnits();
  const pose = poseAt(shown.pose, middle);
  return (
    <Fact name={named(shown.load_case)}>
      <span className={stale ? "stale" : undefined}>
        {[pushWords(pose, text), tiltWords(pose, text), sinkWords(pose, text)].join("; ")}
      </span>
    </Fact>
  );
}
