import "./shape.css";
import { Block } from "../../components/block";
import { StageResults } from "../../components/stage-results";
import { useStage } from "../../workshop/case-context";
import { AreaEditor } from "./area-editor";
import { ShapeChange } from "./shape-change";
import { TakeUpEditor } from "./take-up-editor";
import { TrimEditor } from "./trim-editor";

/** Where the socket bears, where it spares, and by how much. */
export function ShapePanel() {
  const state = useStage("shape");
  return (
    <>
      <AreaEditor />
      <TakeUpEditor />
      <TrimEditor />
      <Block title="What becomes of it">
        <StageResults state={state}>{(shape) => <ShapeChange shape={shape} />}</StageResults>
      </Block>
    </>
  );
}
