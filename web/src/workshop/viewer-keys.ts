import type { Steered } from "../viewer/limb-viewer";
import { STANDARD_VIEWS } from "../viewer/views";

const ZOOM = 1.2;

/** Turn, zoom or set the view by a key; true when the key meant something. */
export function handleViewerKey(key: string, viewer: Steered): boolean {
  const view = STANDARD_VIEWS.find((one) => one.key === key.toLowerCase());
  if (view !== undefined) {
    viewer.look(view.name);
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
    case "0":
      viewer.fit();
      return true;
    default:
      return false;
  }
}
