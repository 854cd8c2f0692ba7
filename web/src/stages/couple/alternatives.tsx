import type { Coupling } from "../../api/results";
import { useSection } from "../../case/case-context";
import { BasisBadge } from "../../components/basis-badge";
import { useUnits } from "../../units/units-context";
import { named } from "../../words/words";

/** Parts of the catalogue that would make the leg fit, the best first. */
export function Alternatives({ choices }: { choices: Coupling["alternatives"] }) {
  const [couple, change] = useSection("couple");
  const { text } = useUnits();
  if (choices.length === 0) {
    return null;
  }
  return (
    <>
      <h4>Parts that would fit</h4>
      <ol className="alternatives">
        {choices.map((choice) => {
          const keys = choice.swaps.map(({ key }) => key).join(", ");
          return (
            <li key={keys}>
              <p>
                {choice.swaps.map((swap) => (
                  <span key={swap.role} className="swap">
                    {named(swap.role)}: <b>{swap.key}</b> saves {text(swap.saves_mm, "mm", 0)}
                  </span>
                ))}
              </p>
              <p className="quiet">
                Leaves {text(choice.spare_mm, "mm", 0)} to spare
                {choice.capacity_n === null ? "" : `, holds ${text(choice.capacity_n, "N")}`}
                {choice.mass_kg === null ? "" : `, ${text(choice.mass_kg, "kg", 2)}`}{" "}
                <BasisBadge basis={choice.basis} />
              </p>
              <button
                type="button"
                onClick={() =>
                  change({
                    catalogue: {
                      ...couple.catalogue,
                      ...Object.fromEntries(choice.swaps.map(({ role, key }) => [role, key])),
                    },
                  })
                }
              >
                Take {choice.swaps.length === 1 ? "this part" : "these parts"}
                <span className="unseen">: {keys}</span>
              </button>
            </li>
          );
        })}
      </ol>
    </>
  );
}
