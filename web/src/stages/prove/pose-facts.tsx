import type { Point } from "../../api/document";
import type { CasePressure } from "../../api/results";
import { Fact, Facts } from "../../components/fact";
import { useUnits } from "../../units/units-context";
import { poseAt } from "../../workshop/balance";

const ORIGIN: Point = [0, 0, 0];

/** How the limb stands in the socket, told of the point that Shape tells it of. */
export function PoseFacts({
  shown,
  middle,
}: {
  readonly shown: CasePressure;
  readonly middle: Point | null;
}) {
  const { text } = useUnits();
  const [outward, forward, up] = poseAt(shown.pose, middle ?? ORIGIN).shift_mm;
  const [about_o, about_f, about_u] = shown.pose.turn_rad;
  return (
    <>
      <h4>How the limb stands in the socket</h4>
      <Facts>
        <Fact name={up <= 0 ? "Sinks by" : "Rises by"}>{text(Math.abs(up), "mm")}</Fact>
        <Fact name={outward >= 0 ? "Shifts laterally by" : "Shifts medially by"}>
          {text(Math.abs(outward), "mm")}
        </Fact>
        <Fact name={forward >= 0 ? "Shifts anteriorly by" : "Shifts posteriorly by"}>
          {text(Math.abs(forward), "mm")}
        </Fact>
        <Fact name="Turns about the lateral, anterior and upward axis">
          {[about_o, about_f, about_u]
            .map((turn) => text((turn * 180) / Math.PI, "deg"))
            .join(", ")}
        </Fact>
        <Fact name="Surface in contact">{text(shown.contact_share * 100, "%")}</Fact>
        <Fact name="Load left unbalanced">{text(shown.residual * 100, "%", 3)}</Fact>
      </Facts>
      <p className="remark">
        {middle === null
          ? "Rise and shifts: of the limb at the level of the mid-patellar tendon."
          : "Rise and shifts: of the limb in the middle of the socket."}
      </p>
    </>
  );
}
