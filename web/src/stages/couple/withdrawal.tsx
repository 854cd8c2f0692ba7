import type { Coupling, Withdrawal } from "../../api/results";
import { useUnits } from "../../units/units-context";
import { capitalised, directionWords, levelWords } from "../../words/words";

/** Whether dummy, model and limb come out again, and what would free what catches. */
export function Withdrawals({ coupling }: { coupling: Coupling }) {
  const ways = [
    { what: "Dummy out of the cast", way: coupling.dummy_withdrawal, soft: false },
    { what: "Rigid model out of the cast", way: coupling.withdrawal, soft: false },
    { what: "Limb in its liner out of the socket", way: coupling.limb_withdrawal, soft: true },
  ];
  return (
    <dl className="explained">
      {ways.map(({ what, way, soft }) =>
        way === null ? null : (
          <div key={what}>
            <dt>{what}</dt>
            <WayOut way={way} soft={soft} />
          </div>
        ),
      )}
    </dl>
  );
}

/** The engine takes less than this for no catch at all. */
const FREE_MM = 0.5;

function WayOut({ way, soft }: { way: Withdrawal; soft: boolean }) {
  const { text } = useUnits();
  const length = (value: number, unit: string): string => text(value, unit, 0);
  if (way.catch_mm <= FREE_MM) {
    return <dd>comes straight out along the coupling’s axis.</dd>;
  }
  const side = directionWords(way.angle_deg);
  const drawn =
    way.free_catch_mm <= FREE_MM ? "it comes free" : `${text(way.free_catch_mm, "mm")} are left`;
  const offers = [
    way.free_catch_mm < way.catch_mm - FREE_MM
      ? `draw it ${text(way.free_tilt_deg, "deg", 0)} towards ${directionWords(way.free_angle_deg)}: ${drawn}.`
      : "",
    way.trim_to_mm === null || soft
      ? ""
      : `cut the trim line ${side} down to ${levelWords(way.trim_to_mm, length)}.`,
    soft ? "" : "lessen the relief that stands there, or break the cast open.",
  ].filter((offer) => offer !== "");
  return (
    <dd>
      {soft ? "has to yield" : "catches"} by {text(way.catch_mm, "mm")}: what lies{" "}
      {levelWords(way.level_mm, length)}, {side}, is wider than the wall{" "}
      {levelWords(way.narrow_level_mm, length)}.
      <ul className="ways">
        {offers.map((offer, at) => (
          <li key={offer}>{at === 0 ? capitalised(offer) : `Or ${offer}`}</li>
        ))}
        {soft ? <li>Soft tissue takes some of it; how much is not established.</li> : null}
      </ul>
    </dd>
  );
}
