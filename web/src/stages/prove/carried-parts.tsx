import type { Carried, ContactReading } from "../../api/results";
import { Fact, Facts } from "../../components/fact";
import { useUnits } from "../../units/units-context";
import { named } from "../../words/words";

/** Who carries the load of one case, as parts of one bar that add up. */
export function CarriedParts({ carried }: { carried: Carried }) {
  const { text } = useUnits();
  return (
    <>
      <h4>Who carries {text(carried.total_n, "N", 0)} along the limb</h4>
      <ul className="carried">
        {carried.parts.map((part) => (
          <li key={part.part}>
            <span>{PART_NAMES[part.part] ?? named(part.part)}</span>
            <svg viewBox="0 0 100 8" preserveAspectRatio="none" aria-hidden="true">
              <rect className="share-track" x="0" y="0.5" width="100" height="7" />
              <rect
                className="share-fill"
                x="0"
                y="0.5"
                width={Math.min(100, Math.max(0, part.percent))}
                height="7"
              />
            </svg>
            <span className="number">
              {text(part.force_n, "N", 0)}, {text(part.percent, "%", 0)}
            </span>
          </li>
        ))}
      </ul>
      <p className="remark">{frictionWords(carried, text)}</p>
    </>
  );
}

const PART_NAMES: Readonly<Record<string, string>> = {
  areas: "Areas, by pressure",
  "rest of wall": "Rest of the wall, by pressure",
  "distal end": "Distal end",
  friction: "Friction on areas and wall",
};

/** What friction does to the load: it carries some of it, or drags the other way. */
function frictionWords(
  { parts, total_n: total, load_n: load }: Carried,
  text: (value: number, unit: string, digits: number) => string,
): string {
  const friction = parts.find(({ part }) => part === "friction")?.force_n ?? 0;
  const size = text(Math.abs(friction), "N", 0);
  const sum = `The parts add up to ${text(total, "N", 0)}, the load's part along the limb: its ${text(load, "N", 0)} lean against it. The distal end counts with the friction on it.`;
  return friction < 0
    ? `${sum} Friction is below zero: along the skin the wall drags the limb the other way by ${size}, and the pressures carry that on top of the load.`
    : `${sum} Friction is what the skin's grip on the wall carries, ${size}.`;
}

/** Where contact is missing or crowded in one load case. */
export function ContactFacts({ contact }: { contact: ContactReading }) {
  const { text } = useUnits();
  const { end_gap_mm: gap, brim_ratio: ratio } = contact;
  return (
    <Facts>
      <Fact name="Distal end in contact">{text(100 * contact.end_contact_share, "%", 0)}</Fact>
      <Fact name="Gap under the rest of it">
        {gap === null ? "none" : `${text(gap[0], "mm")} at least, ${text(gap[1], "mm")} on average`}
      </Fact>
      <Fact name="Pressure at the brim beside the rest">
        {ratio === null ? "no contact at the brim" : `${ratio.toFixed(1)} times`}
      </Fact>
    </Facts>
  );
}
