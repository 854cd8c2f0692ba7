import type { Finding } from "../api/results";
import { useGoToEntry } from "../case/wanted-entry";
import { Said } from "./said";

/** What would change a finding; a link leads to the entry that does. */
export function Remedy({ finding, tab = 0 }: { finding: Finding; tab?: 0 | -1 }) {
  const goTo = useGoToEntry();
  const { remedy, entry } = finding;
  if (remedy === "") {
    return null;
  }
  return (
    <p className="finding-remedy">
      <span>Would change it:</span>{" "}
      {entry === "" ? (
        <Said text={`${remedy}.`} />
      ) : (
        <button type="button" className="link-button" tabIndex={tab} onClick={() => goTo(entry)}>
          <Said text={remedy} />
          <span className="unseen"> (go to the entry)</span>
        </button>
      )}
    </p>
  );
}
