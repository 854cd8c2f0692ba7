import type { Landmark, Limb } from "../../api/results";
import { useDocument, useSection, useSession } from "../../case/case-context";
import { useView } from "../../case/view-context";
import { BasisBadge } from "../../components/basis-badge";
import { Block } from "../../components/block";
import { LandmarkPicture } from "../../landmarks/landmark-picture";
import { useUnits } from "../../units/units-context";
import { named } from "../../words/words";
import { toPatient } from "../../workshop/patient-frame";

/** Landmarks: what each rests on, how far it lay from the skin, and placing it anew. */
export function LandmarkList({ limb }: { limb: Limb }) {
  const landmarks = Object.values(limb.landmarks);
  const guesses = landmarks.filter((one) => one.basis === "guessed").length;
  const { sign } = useUnits();
  return (
    <Block
      title="Landmarks"
      aside={guesses === 0 ? null : <span className="quiet">{guesses} guessed</span>}
    >
      <p className="remark">
        Choose “Place”, then touch the limb; or drag a mark along the limb in the picture, or move
        it by the step pad.
      </p>
      <table className="table">
        <thead>
          <tr>
            <th scope="col">Landmark</th>
            <th scope="col">Rests on</th>
            <th scope="col" className="number">
              Off the skin, {sign("mm")}
            </th>
            <th scope="col">
              <span className="unseen">Actions</span>
            </th>
          </tr>
        </thead>
        <tbody>
          {landmarks.map((landmark) => (
            <LandmarkRow key={landmark.name} landmark={landmark} />
          ))}
        </tbody>
      </table>
    </Block>
  );
}

function LandmarkRow({ landmark }: { landmark: Landmark }) {
  const { settings, setSettings } = useView();
  const { number } = useUnits();
  const { side } = useDocument().person;
  const accept = useAccept(landmark);
  const { name, basis } = landmark;
  const picking = settings.picking === name;
  const selected = picking || settings.landmark === name;
  return (
    <>
      <tr className={selected ? "chosen" : undefined}>
        <th scope="row">
          <button
            type="button"
            className="row-name"
            data-entry={`capture.landmarks.points.${name}`}
            aria-pressed={selected}
            onClick={() => setSettings((now) => ({ ...now, landmark: name, picking: null }))}
          >
            {named(name)}
          </button>
        </th>
        <td>
          <BasisBadge basis={basis} />
        </td>
        <td className="number">{number(landmark.to_skin_mm, "mm")}</td>
        <td className="row-actions">
          {accept === null ? null : (
            <button type="button" onClick={accept}>
              Accept
              <span className="unseen"> {named(name)}</span>
            </button>
          )}
          <button
            type="button"
            aria-pressed={picking}
            onClick={() =>
              setSettings((now) => ({ ...now, landmark: name, picking: picking ? null : name }))
            }
          >
            {picking ? "Give up" : "Place"}
            <span className="unseen"> {named(name)}</span>
          </button>
        </td>
      </tr>
      {selected ? (
        <tr>
          <td colSpan={4}>
            <LandmarkPicture name={name} side={side} />
          </td>
        </tr>
      ) : null}
    </>
  );
}

/** How a proposal is accepted where it stands; null when there is nothing to accept. */
function useAccept(landmark: Landmark): (() => void) | null {
  const session = useSession();
  const [capture, change] = useSection("capture");
  const { side } = useDocument().person;
  const { points, guessed } = capture.landmarks;
  const { name, basis, point_mm } = landmark;
  const stored = points[name] !== undefined;
  if (basis !== "guessed" || (stored && !guessed.includes(name))) {
    return null;
  }
  if (!stored) {
    // A proposal of the program stands in no document yet: it is placed where it was proposed.
    return () => session.placeLandmark(name, toPatient(point_mm, side));
  }
  return () =>
    change({
      landmarks: { ...capture.landmarks, guessed: guessed.filter((guess) => guess !== name) },
    });
}
