import type { Steered } from "../viewer/limb-viewer";
import { STANDARD_VIEWS } from "../viewer/views";

const ZOOM = 1.2;

/** Set a standard view by its key; true when the key meant one. */
export function handleViewKey(key: string, viewer: Steered): boolean {
  const view = STANDARD_VIEWS.find((one) => one.key === key.toLowerCase());
  if (view !== undefined) {
    viewer.look(view.name);
  } else if (key === "0") {
    viewer.fit();
  }
  return view !== undefined || key === "0";
}

/** The keys of the standard views in words: "F, B, O, I, A and U choose a view, 0 fits it". */
export function viewKeysWords(fitted: "it" | "them"): string {
  const keys = STANDARD_VIEWS.map(({ key }) => key.toUpperCase());
  return `${keys.slice(0, -1).join(", ")} and ${keys.at(-1) ?? ""} choose a view, 0 fits ${fitted}`;
}

/** Turn, zoom or set the view by a key; true when the key meant something. */
export function handleViewerKey(key: string, viewer: Steered): boolean {
  if (handleViewKey(key, viewer)) {
    return true;
  }
  switch (key) {
    case "ArrowLeft":
      viewer.orbit(-1, 0);
      return true;
    case "ArrowRight":
      viewer.orbit(1, 0);
      return true;
    case "ArrowUp":
      viewer.orbit(0, 1);
      return true;
    case "ArrowDown":
      viewer.orbit(0, -1);
      return true;
    case "+":
    case "=":
      viewer.zoomBy(ZOOM);
      return true;
    case "-":
      viewer.zoomBy(1 / ZOOM);
      return true;
    default:
      return false;
  }
}
