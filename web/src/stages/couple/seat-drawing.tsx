import type { Side } from "../../api/document";
import type { Coupling } from "../../api/results";
import { useUnits } from "../../units/units-context";

const HALF_MM = 62;

/** The seat as one looks down on it: body, target, screws and exit, anterior at the top. */
export function SeatDrawing({
  seat,
  side,
  targetMm,
}: {
  seat: Coupling["seat"];
  side: Side;
  targetMm: number;
}) {
  const { text } = useUnits();
  const outward = side === "right" ? 1 : -1;
  // Seen from above: forward is up on the page, the person's right is on the right.
  const x = (o: number): number => HALF_MM + outward * o;
  const y = (f: number): number => HALF_MM - f;
  const [faceO, faceF] = seat.face_mm;
  const [baseO, baseF] = seat.base_mm;
  const [exitO, exitF] = seat.exit_direction;
  const reach = seat.body_diameter_mm / 2;
  const [targetO, targetF] = [seat.target_mm[0] - faceO, seat.target_mm[1] - faceF];
  const outer = side === "right" ? "lateral on the right" : "lateral on the left";
  return (
    <div className="seat-drawings">
      <svg
        viewBox={`0 0 ${(2 * HALF_MM).toString()} ${(2 * HALF_MM).toString()}`}
        role="img"
        aria-label={`Seat from above, anterior at the top, ${outer}: body ${text(seat.body_diameter_mm, "mm", 0)} wide, four screws, exit`}
      >
        <circle className="seat-body" cx={x(0)} cy={y(0)} r={reach} />
        <circle className="seat-target" cx={x(targetO)} cy={y(targetF)} r={targetMm / 2} />
        {seat.screws_mm.map(([o, f]) => (
          <circle
            className="seat-screw"
            key={`${o.toString()} ${f.toString()}`}
            cx={x(o - baseO)}
            cy={y(f - baseF)}
            r={3}
          />
        ))}
        <line
          className="seat-exit"
          x1={x(exitO * reach * 0.6)}
          y1={y(exitF * reach * 0.6)}
          x2={x(exitO * (reach + 9))}
          y2={y(exitF * (reach + 9))}
        />
        <text
          x={Math.min(110, Math.max(14, x(exitO * (reach + 22))))}
          y={y(exitF * (reach + 20)) - 6}
          textAnchor="middle"
          dominantBaseline="central"
        >
          exit
        </text>
        <text x={HALF_MM} y={8} textAnchor="middle">
          anterior
        </text>
        <text
          x={side === "right" ? 2 * HALF_MM - 1 : 1}
          y={2 * HALF_MM - 4}
          textAnchor={side === "right" ? "end" : "start"}
        >
          lateral {side === "right" ? "→" : "←"}
        </text>
      </svg>
      <Profile seat={seat} targetMm={targetMm} />
    </div>
  );
}

/** Along the axis, in the plane of the target's tilt: target, gap, body, floor. */
function Profile({ seat, targetMm }: { seat: Coupling["seat"]; targetMm: number }) {
  const { text } = useUnits();
  const gap = Math.hypot(...seat.face_mm.map((at, k) => at - (seat.cap_mm[k] ?? 0)));
  const top = 34;
  const face = top + gap;
  const body = seat.body_diameter_mm / 2;
  const floor = face + seat.body_height_mm;
  return (
    <svg
      viewBox={`0 0 ${(2 * HALF_MM).toString()} ${(2 * HALF_MM).toString()}`}
      role="img"
      aria-label={`Seat along its axis: gap ${text(gap, "mm")}, body ${text(seat.body_height_mm, "mm")} high, target tilted ${text(seat.tilt_deg, "deg")}`}
    >
      <g
        className="seat-target"
        transform={`translate(${(HALF_MM + seat.offset_mm).toFixed(2)} ${top.toString()}) rotate(${seat.tilt_deg.toFixed(2)})`}
      >
        <rect x={-targetMm / 2} y={-6} width={targetMm} height={6} />
      </g>
      <rect
        className="seat-body"
        x={HALF_MM - body}
        y={face}
        width={2 * body}
        height={seat.body_height_mm}
      />
      <rect
        className="seat-floor"
        x={HALF_MM - body - 8}
        y={floor}
        width={2 * body + 16}
        height={seat.floor_mm}
      />
      <line className="seat-axis" x1={HALF_MM} x2={HALF_MM} y1={14} y2={floor + 22} />
      <text x={HALF_MM} y={9} textAnchor="middle">
        target {text(seat.tilt_deg, "deg")}, gap {text(gap, "mm")}
      </text>
      <text x={HALF_MM} y={2 * HALF_MM - 4} textAnchor="middle">
        body {text(seat.body_height_mm, "mm")}, floor {text(seat.floor_mm, "mm")}
      </text>
    </svg>
  );
}
