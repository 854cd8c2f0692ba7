import "./styles/tokens.css";
import "./styles/base.css";
import "./styles/controls.css";
import "./styles/bench.css";
import "./styles/start.css";
import "./styles/picture.css";
import "./styles/cross-section.css";
import "./styles/markers.css";
import "./styles/handles.css";
import "./styles/findings.css";
import "./styles/panels.css";
import "./styles/tables.css";
import "./styles/step-pad.css";
import "./styles/narrow.css";
import "./styles/touch.css";
import { StrictMode } from "react";
import { createRoot } from "react-dom/client";
import { connect } from "./api/client";
import { splitFragment, takeToken } from "./api/token";
import { App } from "./app";
import { leaveFieldWithPage } from "./browser/leaving";
import { startScheme } from "./scheme/scheme";

const root = document.getElementById("root");
if (root === null) {
  throw new Error("index.html has no element with the id root");
}
const token = takeToken();
addEventListener("hashchange", () => {
  // The address of another start, opened in this tab: the page begins anew with its key.
  if (splitFragment(location.hash).given !== null) {
    location.reload();
  }
});
startScheme();
leaveFieldWithPage();
createRoot(root).render(
  <StrictMode>
    <App service={token === null ? null : connect(token)} />
  </StrictMode>,
);
