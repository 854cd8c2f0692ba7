import { chooseScheme, type SchemeChoice, useSchemeChoice } from "./scheme";

/**
 * Light for a bright room, dark for a dim one, or as the system has it. The bar has room for the
 * sign alone; the opened list has the words.
 */
export function SchemeSwitch() {
  const choice = useSchemeChoice();
  return (
    <select
      className="scheme-switch"
      title="Light or dark page, or as the system has it"
      aria-label="Light or dark page"
      value={choice}
      onChange={(event) => chooseScheme(event.target.value as SchemeChoice)}
    >
      <option value="system">◐ As the system</option>
      <option value="light">○ Light</option>
      <option value="dark">● Dark</option>
    </select>
  );
}
