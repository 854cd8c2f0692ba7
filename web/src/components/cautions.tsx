import { useCaseState } from "../case/case-context";
import { Said } from "./said";

/** The usual cautions, where results appear. They can be folded, and come back with each panel. */
export function Cautions() {
  return <CautionList cautions={useCaseState().cautions} />;
}

export function CautionList({ cautions }: { cautions: readonly string[] }) {
  const [first, ...others] = cautions;
  if (first === undefined) {
    return null;
  }
  return (
    <aside className="cautions" aria-label="Cautions">
      <p>
        <Said text={first} />
      </p>
      {others.length === 0 ? null : (
        <details open>
          <summary>More cautions</summary>
          <ul>
            {others.map((caution) => (
              <li key={caution}>
                <Said text={caution} />
              </li>
            ))}
          </ul>
        </details>
      )}
    </aside>
  );
}
