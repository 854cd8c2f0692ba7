import type { CouponPlan } from "../../api/document";
import { useSection } from "../../case/case-context";
import { Block } from "../../components/block";
import { SelectField } from "../../components/choice-field";
import { NumberField } from "../../components/number-field";
import { TextField } from "../../components/text-field";
import { useListFocus } from "../../components/use-list-focus";
import type { Newton } from "../../units/quantities";
import { mm } from "../../units/quantities";

const FRESH: CouponPlan = {
  span_mm: mm(80),
  width_mm: mm(15),
  thickness_mm: mm(5),
  force_n: 200 as Newton,
  deflection_mm: null,
  deflection_force_n: null,
  direction: "along",
};

/** Bent specimens of one's own lay-up: they turn "not established" into a figure. */
export function CouponForm() {
  const [prove, change] = useSection("prove");
  const { specimens, source } = prove.coupons;
  const set = (next: readonly CouponPlan[]): void =>
    change({ coupons: { specimens: next, source } });
  const edit = (index: number, part: Partial<CouponPlan>): void =>
    set(specimens.map((one, i) => (i === index ? { ...one, ...part } : one)));
  const { heading, removing } = useListFocus(specimens.length);
  return (
    <Block
      title="Own coupon test"
      heading={heading}
      aside={<span className="quiet">bent over two supports to failure</span>}
    >
      {specimens.map((one, index) => (
        // biome-ignore lint/suspicious/noArrayIndexKey: specimens have no name of their own
        <fieldset key={index} className="specimen">
          <legend>Specimen {index + 1}</legend>
          <div className="form">
            <SpecimenFields
              specimen={one}
              path={`prove.coupons.specimens.${index.toString()}`}
              onChange={(part) => edit(index, part)}
            />
            <button
              type="button"
              className="plain-button"
              onClick={() => removing(() => set(specimens.filter((_, i) => i !== index)))}
            >
              Remove this specimen
            </button>
          </div>
        </fieldset>
      ))}
      <div className="add-row">
        <TextField
          label="Which test this was"
          value={source}
          path="prove.coupons.source"
          onChange={(next) => change({ coupons: { specimens, source: next } })}
        />
        <button
          type="button"
          onClick={() => set([...specimens, specimens[specimens.length - 1] ?? FRESH])}
        >
          Add a specimen
        </button>
      </div>
    </Block>
  );
}

interface SpecimenFieldsProps {
  readonly specimen: CouponPlan;
  readonly path: string;
  readonly onChange: (part: Partial<CouponPlan>) => void;
}

function SpecimenFields({ specimen, path, onChange }: SpecimenFieldsProps) {
  return (
    <>
      <NumberField
        label="Between supports"
        value={specimen.span_mm}
        unit="mm"
        path={`${path}.span_mm`}
        onChange={(span) => onChange({ span_mm: mm(span) })}
      />
      <NumberField
        label="Width"
        value={specimen.width_mm}
        unit="mm"
        path={`${path}.width_mm`}
        onChange={(width) => onChange({ width_mm: mm(width) })}
      />
      <NumberField
        label="Thickness"
        value={specimen.thickness_mm}
        unit="mm"
        digits={2}
        path={`${path}.thickness_mm`}
        onChange={(thickness) => onChange({ thickness_mm: mm(thickness) })}
      />
      <NumberField
        label="Force at failure"
        value={specimen.force_n}
        unit="N"
        step={10}
        path={`${path}.force_n`}
        onChange={(force) => onChange({ force_n: force as Newton })}
      />
      <SelectField
        label="Lay-up lies"
        value={specimen.direction}
        options={[
          { value: "along", label: "along the limb" },
          { value: "round", label: "round the limb" },
        ]}
        onChange={(direction) => onChange({ direction })}
      />
    </>
  );
}
