import { useEffect, useRef } from "react";
import { useRoute } from "../browser/route";
import { useCaseState, useDocument } from "../case/case-context";
import { recall } from "./memory";
import { guideAddress, guideStart } from "./places";
import { STEPS } from "./steps";

/** Opens the guide where it was left; only an invented case is there to practise on. */
export function GuideLink() {
  const route = useRoute();
  const { id } = useCaseState();
  const { invented } = useDocument();
  const guide = route.kind === "case" ? route.guide : null;
  const link = useFocusAfter(guide);
  if (!invented || guide !== null) {
    return null;
  }
  const { at } = recall(id);
  const known = at !== null && STEPS.some((step) => step.id === at);
  return (
    <a ref={link} className="guide-link" href={known ? guideAddress(id, at) : guideStart(id)}>
      {known ? "Resume the guide" : "Guide"}
    </a>
  );
}

/** Whoever leaves the guide stands where they can come back to it. */
function useFocusAfter(guide: string | null) {
  const link = useRef<HTMLAnchorElement>(null);
  const before = useRef(guide);
  useEffect(() => {
    if (before.current !== null && guide === null && document.activeElement === document.body) {
      link.current?.focus();
    }
    before.current = guide;
  }, [guide]);
  return link;
}
