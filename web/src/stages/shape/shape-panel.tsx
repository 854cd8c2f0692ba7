import "./shape.css";
import { useStage } from "../../case/case-context";
import { Block } from "../../components/block";
import { StageResults } from "../../components/stage-results";
import { AreaEditor } from "./area-editor";
import { BalanceBlock } from "./balance-block";
import { GirthPlots } from "./girth-plots";
import { ShapeChange } from "./shape-change";
import { TakeUpEditor } from "./take-up-editor";
import { ToConfirm } from "./to-confirm";
import { TrimEditor } from "./trim-editor";

/** Where the socket bears, where it spares, and by how much. */
export function ShapePanel() {
  const state = useStage("shape");
  return (
    <>
      <AreaEditor />
      <BalanceBlock />
      <TakeUpEditor />
      <TrimEditor />
      <Block title="What becomes of it">
        <StageResults state={state}>
          {(shape) => (
            <>
              <GirthPlots shape={shape} />
              <ShapeChange shape={shape} />
            </>
          )}
        </StageResults>
      </Block>
      <ToConfirm />
    </>
  );
}
