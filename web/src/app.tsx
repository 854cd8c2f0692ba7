import { useEffect, useState } from "react";
import type { Service } from "./api/client";
import { sentenceOf } from "./api/errors";
import type { Info } from "./api/replies";
import { Workshop } from "./bench/workshop";
import { caseAddress, replaceAddress, useRoute } from "./browser/route";
import { CaseList } from "./start/case-list";
import { NewCase } from "./start/new-case";
import { UnitsProvider } from "./units/units-context";

type Start =
  | { readonly kind: "asking" }
  | { readonly kind: "known"; readonly info: Info }
  | { readonly kind: "failed"; readonly sentence: string };

/** The whole page; `service` is null when it was opened without a key. */
export function App({ service }: { service: Service | null }) {
  return (
    <UnitsProvider>
      {service === null ? <WithoutKey /> : <Entered service={service} />}
    </UnitsProvider>
  );
}

function Entered({ service }: { service: Service }) {
  const route = useRoute();
  const [start, setStart] = useState<Start>({ kind: "asking" });
  const [attempt, setAttempt] = useState(0);
  // biome-ignore lint/correctness/useExhaustiveDependencies: a new attempt asks anew
  useEffect(() => {
    let current = true;
    Promise.all([service.info(), service.cases()])
      .then(([info, { first }]) => {
        if (current) {
          openTheFirst(info, first);
          setStart({ kind: "known", info });
        }
      })
      .catch((error: unknown) => {
        if (current) {
          setStart({ kind: "failed", sentence: sentenceOf(error) });
        }
      });
    return () => {
      current = false;
    };
  }, [service, attempt]);

  if (start.kind === "failed") {
    return (
      <div className="opening">
        <div className="banner" role="alert">
          <p>{start.sentence}</p>
          <button type="button" onClick={() => setAttempt(attempt + 1)}>
            Try again
          </button>
        </div>
      </div>
    );
  }
  if (start.kind === "asking") {
    return <p className="opening quiet">Opening …</p>;
  }
  const firstStage = start.info.stages[0]?.name ?? "assess";
  if (route.kind === "start") {
    return <CaseList service={service} firstStage={firstStage} version={start.info.version} />;
  }
  if (route.kind === "new") {
    return <NewCase service={service} info={start.info} firstStage={firstStage} />;
  }
  return (
    <Workshop
      key={route.id}
      service={service}
      info={start.info}
      caseId={route.id}
      place={route.kind === "case" ? { ...route, stage: route.stage ?? firstStage } : route}
    />
  );
}

/** Started on one case, the page opens it; the list is reached by the name in the bar. */
function openTheFirst(info: Info, first: string | null): void {
  const stage = info.stages[0]?.name;
  if (first !== null && stage !== undefined && location.hash.length < 2) {
    replaceAddress(caseAddress(first, stage));
  }
}

function WithoutKey() {
  return (
    <main className="opening">
      <h1>Limbwright</h1>
      <p>
        This page needs the key that the service printed when it started. Open the whole address
        that <code>limbwright serve</code> shows, from “http” to the end.
      </p>
    </main>
  );
}
