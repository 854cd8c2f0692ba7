import { useEffect, useState } from "react";
import type { ArraySet } from "../api/client";
import { sentenceOf } from "../api/errors";
import { useCaseState } from "../case/case-context";
import { useService } from "../case/service-context";
import { earlierArray } from "../state/array-names";

interface Earlier {
  readonly arrays: ArraySet;
  readonly problem: string | null;
}

const NONE: Earlier = { arrays: new Map(), problem: null };

/** Pressures of another revision in one load case; null asks for none. */
export function useEarlier(revision: number | null, loadCase: string): Earlier {
  const service = useService();
  const { id } = useCaseState();
  const [state, setState] = useState(NONE);
  useEffect(() => {
    let alive = true;
    const ask = async (number: number): Promise<Earlier> => {
      const name = earlierArray(loadCase);
      const { arrays } = await service.earlierPressures(id, number);
      const entry = arrays[name];
      return entry === undefined
        ? { ...NONE, problem: `Revision ${number.toString()} has no such load.` }
        : { arrays: await service.arrays(id, { [name]: entry }), problem: null };
    };
    setState(NONE);
    if (revision !== null) {
      ask(revision)
        .catch((error: unknown) => ({ ...NONE, problem: sentenceOf(error) }))
        .then((found) => alive && setState(found));
    }
    return () => {
      alive = false;
    };
  }, [service, id, revision, loadCase]);
  return state;
}
