import { SelectField } from "./choice-field";

const UNASKED = "";

interface AskedProps<Value extends string> {
  readonly label: string;
  readonly value: Value | null;
  readonly options: readonly { readonly value: Value; readonly label: string }[];
  readonly onChange: (value: Value | null) => void;
  readonly path?: string;
  readonly wide?: boolean;
}

/** One of several, or nothing yet: what nobody asked stays unasked. */
export function AskedField<Value extends string>(props: AskedProps<Value>) {
  const { label, value, options, onChange, path, wide } = props;
  return (
    <SelectField<Value | "">
      label={label}
      value={value ?? UNASKED}
      path={path}
      wide={wide}
      options={[{ value: UNASKED, label: "not asked" }, ...options]}
      onChange={(next) => onChange(next === UNASKED ? null : next)}
    />
  );
}

const YES_NO = [
  { value: "yes", label: "yes" },
  { value: "no", label: "no" },
] as const;

interface YesNoProps {
  readonly label: string;
  readonly value: boolean | null;
  readonly onChange: (value: boolean | null) => void;
  readonly path?: string;
}

/** Yes, no, or not asked. */
export function YesNoField({ label, value, onChange, path }: YesNoProps) {
  return (
    <AskedField
      label={label}
      value={value === null ? null : value ? "yes" : "no"}
      options={YES_NO}
      path={path}
      onChange={(next) => onChange(next === null ? null : next === "yes")}
    />
  );
}
