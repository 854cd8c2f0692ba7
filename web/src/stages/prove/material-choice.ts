/** The materials to choose from, by the way the socket is made. Pure. */

import type { ProvePlan } from "../../api/document";
import type { MaterialEntry } from "../../api/replies";
import type { Option } from "../../components/choice-field";
import { named } from "../../words/words";

interface MaterialChoice {
  readonly options: readonly Option<string>[];
  readonly value: string;
  /** The plan names a material that is in no table. */
  readonly own: boolean;
}

/** A material of the table that is not for this way of making stays listed, and says so. */
export function materialChoice(
  materials: readonly MaterialEntry[],
  { process, material }: Pick<ProvePlan, "process" | "material">,
): MaterialChoice {
  const known = materials.find(({ key }) => key === material);
  const fitting = materials
    .filter((one) => one.process === process)
    .map(({ key, name }) => ({ value: key, label: named(name) }));
  if (known === undefined) {
    return { options: fitting, value: "own", own: true };
  }
  const other = {
    value: known.key,
    label: `${named(known.name)}: not for this way of making`,
  };
  const options = known.process === process ? fitting : [other, ...fitting];
  return { options, value: known.key, own: false };
}
