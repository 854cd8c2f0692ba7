import { Fragment } from "react";
import type { AreaPressure } from "../../api/results";
import { useUnits } from "../../units/units-context";
import { named } from "../../words/words";
import { useView } from "../../workshop/view-context";

/** Mean and peak of each area against its limit, with the limit's source beneath. */
export function AreaPressures({ areas }: { areas: readonly AreaPressure[] }) {
  const { settings, setSettings } = useView();
  return (
    <table className="table figures area-pressures">
      <thead>
        <tr>
          <th scope="col">Area</th>
          <th scope="col" className="number">
            Mean, kPa
          </th>
          <th scope="col" className="number">
            Peak, kPa
          </th>
          <th scope="col" className="number">
            Limit, kPa
          </th>
          <th scope="col">Peak of limit</th>
        </tr>
      </thead>
      <tbody>
        {areas.map((area) => (
          <Fragment key={area.area}>
            <tr className={settings.area === area.area ? "chosen" : undefined}>
              <th scope="row">
                <button
                  type="button"
                  className="row-name"
                  aria-pressed={settings.area === area.area}
                  onClick={() => setSettings((now) => ({ ...now, area: area.area }))}
                >
                  {named(area.area)}
                </button>
              </th>
              <AreaCells area={area} />
            </tr>
            {area.limit_source === null ? null : (
              <tr className="source-row">
                <td colSpan={5}>Limit: {area.limit_source}</td>
              </tr>
            )}
          </Fragment>
        ))}
      </tbody>
    </table>
  );
}

function AreaCells({ area }: { area: AreaPressure }) {
  const { number } = useUnits();
  return (
    <>
      <td className="number">{number(area.mean_kpa, "kPa")}</td>
      <td className="number">{number(area.peak_kpa, "kPa")}</td>
      <td className="number">
        {area.limit_kpa === null ? "not established" : number(area.limit_kpa, "kPa")}
      </td>
      <td>
        {area.share === null ? <span className="none">–</span> : <Share share={area.share} />}
      </td>
    </>
  );
}

/** A bar that ends at the limit; what is beyond it is said in words and drawn over the end. */
function Share({ share }: { share: number }) {
  const beyond = share > 1;
  return (
    <span className={beyond ? "share beyond" : "share"}>
      <svg viewBox="0 0 60 10" aria-hidden="true">
        <rect className="share-track" x="0.5" y="1.5" width="49" height="7" />
        <rect
          className="share-fill"
          x="0.5"
          y="1.5"
          width={Math.min(1.18, share) * 49}
          height="7"
        />
        <path className="share-limit" d="M49.5 0v10" />
      </svg>
      {Math.round(share * 100)} %
    </span>
  );
}
