import { type ComponentType, useEffect, useState } from "react";
import type { Service } from "../api/client";
import type { Info } from "../api/replies";
import type { StageName } from "../api/results";
import type { Compared } from "../browser/route";
import { CaseProvider, useCaseState, useInfo } from "../case/case-context";
import { ServiceProvider } from "../case/service-context";
import { useKeptDrafts } from "../case/use-kept-drafts";
import { ViewProvider } from "../case/view-context";
import { INITIAL_VIEW, type ViewSettings } from "../case/view-settings";
import { WantedEntry } from "../case/wanted-entry";
import { Cautions } from "../components/cautions";
import { ErrorBoundary } from "../components/error-boundary";
import { Guide } from "../guide/guide";
import { Revisions } from "../revisions/revisions";
import { AlignPanel } from "../stages/align/align-panel";
import { AssessPanel } from "../stages/assess/assess-panel";
import { CapturePanel } from "../stages/capture/capture-panel";
import { CouplePanel } from "../stages/couple/couple-panel";
import { FitPanel } from "../stages/fit/fit-panel";
import { MakePanel } from "../stages/make/make-panel";
import { MakingProvider } from "../stages/make/making-context";
import { ProvePanel } from "../stages/prove/prove-panel";
import { ShapePanel } from "../stages/shape/shape-panel";
import { CaseSession } from "../state/case-session";
import { stageTitle } from "../words/words";
import { Banners } from "../workshop/banners";
import { BeforeProvider } from "../workshop/before-context";
import { FindingsStrip } from "../workshop/findings-strip";
import { LimbView } from "../workshop/limb-view";
import { SkipLinks } from "../workshop/skip-links";
import { TopBar } from "../workshop/top-bar";
import { TriedProvider } from "../workshop/tried-context";
import { JobRail } from "./job-rail";

const PANELS: Readonly<Record<StageName, ComponentType>> = {
  assess: AssessPanel,
  capture: CapturePanel,
  shape: ShapePanel,
  couple: CouplePanel,
  align: AlignPanel,
  prove: ProvePanel,
  make: MakePanel,
  fit: FitPanel,
};

interface WorkshopProps {
  readonly service: Service;
  readonly info: Info;
  readonly caseId: string;
  readonly place: Place;
}

/** A stage of the job, or revisions side by side. */
type Place =
  | { readonly kind: "case"; readonly stage: string }
  | { readonly kind: "revisions"; readonly compared: Compared };

/** One case on the bench: the stages, the limb, the stage's panel and the findings. */
export function Workshop({ service, info, caseId, place }: WorkshopProps) {
  const [session] = useState(() => new CaseSession(service, caseId));
  const [settings, setSettings] = useState<ViewSettings>(INITIAL_VIEW);
  useEffect(() => {
    session.open();
    return () => session.close();
  }, [session]);
  return (
    <ServiceProvider service={service}>
      <CaseProvider session={session} info={info}>
        <ViewProvider settings={settings} setSettings={setSettings}>
          <MakingProvider>
            <BeforeProvider>
              <TriedProvider>
                <Bench place={place} />
              </TriedProvider>
            </BeforeProvider>
          </MakingProvider>
        </ViewProvider>
      </CaseProvider>
    </ServiceProvider>
  );
}

function Bench({ place }: { place: Place }) {
  const { document: opened, stored, connection, refusal } = useCaseState();
  useKeptDrafts();
  const title = place.kind === "case" ? stageTitle(place.stage) : "Revisions";
  const unstored = connection.kind === "lost" && opened !== (stored?.document ?? null);
  useEffect(() => {
    const ask = (event: BeforeUnloadEvent): void => event.preventDefault();
    if (unstored) {
      // A closed tab takes with it what no service has.
      addEventListener("beforeunload", ask);
    }
    return () => removeEventListener("beforeunload", ask);
  }, [unstored]);
  useEffect(() => {
    // A browser keeps this in its history: the code alone goes there, never the case's own title.
    const code = opened?.person.code ?? "";
    document.title = [title, code, "Limbwright"].filter((part) => part !== "").join(" – ");
  }, [title, opened]);
  if (opened === null) {
    return (
      <div className="opening">
        <Banners />
        {refusal === null ? (
          <p className="quiet" role="status">
            Opening the case …
          </p>
        ) : null}
      </div>
    );
  }
  return (
    <WantedEntry stage={place.kind === "case" ? place.stage : null}>
      <div className="bench">
        <SkipLinks />
        <TopBar />
        <Banners />
        <Guide />
        <div className="bench-body">
          <JobRail stage={place.kind === "case" ? place.stage : null} />
          {place.kind === "case" ? (
            <AtStage stage={place.stage} />
          ) : (
            <ErrorBoundary resetKey="revisions">
              <Revisions compared={place.compared} />
            </ErrorBoundary>
          )}
        </div>
      </div>
    </WantedEntry>
  );
}

function AtStage({ stage }: { stage: string }) {
  return (
    <>
      <div className="bench-middle">
        <ErrorBoundary resetKey="limb">
          <LimbView stage={stage} />
        </ErrorBoundary>
      </div>
      <Panel stage={stage} />
      <FindingsStrip stage={stage} />
    </>
  );
}

function Panel({ stage }: { stage: string }) {
  const question = useInfo().stages.find((one) => one.name === stage)?.question ?? "";
  const Body = PANELS[stage as StageName] as ComponentType | undefined;
  return (
    <main className="panel" key={stage} tabIndex={-1}>
      <header className="panel-head">
        <h2>{stageTitle(stage)}</h2>
        <p>{question}</p>
      </header>
      <div className="panel-body">
        <ErrorBoundary resetKey={stage}>
          {Body === undefined ? <p className="quiet">There is no such stage.</p> : <Body />}
        </ErrorBoundary>
        <Cautions />
      </div>
    </main>
  );
}
