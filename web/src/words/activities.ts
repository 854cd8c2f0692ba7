import type { Activity } from "../api/document";

/** Functional classes as they are chosen, in our own words. */
export const ACTIVITIES: readonly { value: Activity; label: string }[] = [
  { value: "K0", label: "K0 – does not walk" },
  { value: "K1", label: "K1 – at home, even ground" },
  { value: "K2", label: "K2 – limited in the community" },
  { value: "K3", label: "K3 – community, varying speed" },
  { value: "K4", label: "K4 – high impact" },
];
