/** A case, as it begins, for the guide's tests alone. */

import type { CaseDocument } from "../api/document";
import type { ResultsByStage, StageName } from "../api/results";
import { INITIAL_VIEW } from "../case/view-settings";
import { NO_HISTORY } from "../state/history";
import { allStages } from "../state/stage-state";
import type { GuideFacts } from "./facts";

export function guidedDocument(): CaseDocument {
  return {
    invented: true,
    person: { side: "left", mass_kg: 80, walking_speed_m_s: null },
    capture: {
      landmarks: {
        unit: "mm",
        points: { fibular_head: [1, 2, 3], tibial_tubercle: [4, 5, 6] },
        guessed: ["fibular_head"],
      },
      palpated: [],
    },
    shape: {
      areas: [
        { name: "popliteal", depth_mm: -3 },
        { name: "patellar_tendon", depth_mm: -2 },
      ],
    },
    couple: { coupling: { axis: "balanced" } },
    align: { wanted_forward_mm: 0, wanted_outward_mm: 0 },
    prove: { process: "printed", material: "petg_print", wall_mm: null, distal_plate_mm: null },
    fit: { fittings: [] },
  } as unknown as CaseDocument;
}

/** What is known when nothing was done yet; a test names what differs. */
export function freshFacts(part: Partial<GuideFacts> = {}): GuideFacts {
  return {
    begun: guidedDocument(),
    now: guidedDocument(),
    stages: allStages("empty"),
    history: NO_HISTORY,
    view: INITIAL_VIEW,
    files: null,
    ...part,
  };
}

/** Facts in which one stage has results. */
export function factsWith<Name extends StageName>(
  name: Name,
  results: unknown,
  part: Partial<GuideFacts> = {},
): GuideFacts {
  const facts = freshFacts(part);
  const ready = { kind: "ready", findings: [], results: results as ResultsByStage[Name] };
  return { ...facts, stages: { ...facts.stages, [name]: ready } };
}
