import { useEffect, useState } from "react";
import type { PartChoice } from "../../api/document";
import { sentenceOf } from "../../api/errors";
import type { Catalogue, CataloguePart } from "../../api/replies";
import { useCaseState, useSection } from "../../case/case-context";
import { useService } from "../../case/service-context";
import { Block } from "../../components/block";
import { SelectField } from "../../components/choice-field";
import { type Units, useUnits } from "../../units/units-context";
import { named } from "../../words/words";

const ROLES: readonly (keyof PartChoice)[] = [
  "coupling",
  "square_plate",
  "plate",
  "socket_adapter",
  "pylon",
  "foot_adapter",
  "foot",
  "dummy",
  "dummy_ring",
];
const NONE = "";

/** Parts chosen from the catalogue, each by its key; its figures go before the defaults. */
export function CatalogueForm() {
  const [couple, change] = useSection("couple");
  const { catalogue, problem } = useCatalogue();
  const units = useUnits();
  const lock = catalogue?.locks[couple.coupling.kind];
  const set = (role: keyof PartChoice, key: string): void =>
    change({ catalogue: { ...couple.catalogue, [role]: key === NONE ? null : key } });
  return (
    <Block title="Parts from the catalogue">
      <p className="remark">
        Your own parts stand in parts.toml, in the case’s folder or in your settings. Invented
        examples show what an entry looks like; they decide nothing.
      </p>
      {problem === null ? null : <p className="problem">{problem}</p>}
      {catalogue === null ? null : (
        <div className="catalogue-choices">
          {ROLES.map((role) => {
            const kind = role === "coupling" ? lock : catalogue.roles[role];
            const fitting = catalogue.parts.filter((part) => part.kind === kind);
            const chosen = couple.catalogue[role];
            return kind === undefined && chosen === null ? null : (
              <div key={role} className="catalogue-choice">
                <SelectField
                  label={named(role)}
                  value={chosen ?? NONE}
                  path={`couple.catalogue.${role}`}
                  options={options(fitting, chosen)}
                  onChange={(key) => set(role, key)}
                />
                <PartFacts part={fitting.find(({ key }) => key === chosen)} units={units} />
              </div>
            );
          })}
        </div>
      )}
    </Block>
  );
}

function options(
  parts: readonly CataloguePart[],
  chosen: string | null,
): { value: string; label: string }[] {
  const known = parts.map(({ key }) => ({ value: key, label: key }));
  const missing = chosen !== null && !parts.some(({ key }) => key === chosen);
  return [
    { value: NONE, label: "none" },
    ...known,
    ...(missing ? [{ value: chosen, label: `${chosen}: not in a catalogue` }] : []),
  ];
}

/** What an entry says, and where that comes from. */
function PartFacts({ part, units }: { part: CataloguePart | undefined; units: Units }) {
  if (part === undefined) {
    return null;
  }
  const { text } = units;
  const facts = [
    part.height_mm > 0 ? `${text(part.height_mm, "mm", 0)} high` : null,
    part.capacity_n === null ? null : `holds ${text(part.capacity_n, "N")}`,
    part.mass_kg === null ? null : text(part.mass_kg, "kg", 2),
    part.max_body_mass_kg === null ? null : `up to ${text(part.max_body_mass_kg, "kg", 0)}`,
    part.max_activity === null ? null : `up to ${part.max_activity}`,
  ].filter((fact) => fact !== null);
  return (
    <p className="hint">
      {facts.join(", ")}. {part.example ? "Invented example." : `${part.provenance}, ${part.date}.`}
    </p>
  );
}

function useCatalogue(): { catalogue: Catalogue | null; problem: string | null } {
  const service = useService();
  const { id } = useCaseState();
  const [state, setState] = useState<{ catalogue: Catalogue | null; problem: string | null }>({
    catalogue: null,
    problem: null,
  });
  useEffect(() => {
    let wanted = true;
    service
      .catalogue(id)
      .then((catalogue) => wanted && setState({ catalogue, problem: null }))
      .catch(
        (error: unknown) => wanted && setState({ catalogue: null, problem: sentenceOf(error) }),
      );
    return () => {
      wanted = false;
    };
  }, [service, id]);
  return state;
}
