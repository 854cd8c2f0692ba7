import { caseAddress } from "../../browser/route";
import { useCaseState } from "../../case/case-context";
import { useView } from "../../case/view-context";
import { Block } from "../../components/block";

/** The way from a shape that is settled to its confirmation. */
export function ToConfirm() {
  const { id } = useCaseState();
  const { setSettings } = useView();
  return (
    <Block title="Confirm">
      <p className="remark">
        What is shown here while shaping comes from a quick model. Before the socket is made, let
        finite elements confirm it.
      </p>
      <a
        href={caseAddress(id, "prove")}
        onClick={() => setSettings((now) => ({ ...now, toConfirm: true }))}
      >
        Confirm by finite elements, in Prove
      </a>
    </Block>
  );
}
