import type { AreaPressure } from "../../api/results";
import { useView } from "../../case/view-context";
import { useUnits } from "../../units/units-context";
import { named } from "../../words/words";

/** Mean and peak of each area against its limit; the sources of the limits stand below. */
export function AreaPressures({ areas }: { areas: readonly AreaPressure[] }) {
  const sources = [...new Set(areas.map((area) => area.limit_source))].filter(
    (source) => source !== null,
  );
  return (
    <>
      <table className="table figures area-pressures">
        <caption>In kPa; peak is the highest mean over 1 cm² inside the area</caption>
        <thead>
          <tr>
            <th scope="col">Area</th>
            <th scope="col" className="number">
              Mean
            </th>
            <th scope="col" className="number">
              Peak
            </th>
            <th scope="col" className="number">
              Limit
            </th>
            <th scope="col">Peak of limit</th>
          </tr>
        </thead>
        <tbody>
          {areas.map((area) => (
            <AreaLine key={area.area} area={area} note={noteSign(sources, area.limit_source)} />
          ))}
        </tbody>
      </table>
      <ul className="notes" aria-label="Sources of the limits">
        {sources.map((source) => (
          <li key={source}>
            <sup>{noteSign(sources, source)}</sup> {source}
          </li>
        ))}
      </ul>
    </>
  );
}

/** a, b, c … for each different source. */
function noteSign(sources: readonly string[], source: string | null): string {
  const index = source === null ? -1 : sources.indexOf(source);
  return index < 0 ? "" : String.fromCharCode("a".charCodeAt(0) + index);
}

function AreaLine({ area, note }: { area: AreaPressure; note: string }) {
  const { settings, setSettings } = useView();
  const { number } = useUnits();
  const chosen = settings.area === area.area;
  return (
    <tr className={chosen ? "chosen" : undefined}>
      <th scope="row">
        <button
          type="button"
          className="row-name"
          aria-pressed={chosen}
          onClick={() => setSettings((now) => ({ ...now, area: area.area }))}
        >
          {named(area.area)}
        </button>
      </th>
      <td className="number">{number(area.mean_kpa, "kPa")}</td>
      <td className="number">{number(area.peak_kpa, "kPa")}</td>
      {area.limit_kpa === null ? (
        <td className="unknown" colSpan={2}>
          no limit established
        </td>
      ) : (
        <>
          <td className="number">
            {number(area.limit_kpa, "kPa")}
            <sup>{note}</sup>
          </td>
          <td>
            {area.share === null ? <span className="none">–</span> : <Share share={area.share} />}
          </td>
        </>
      )}
    </tr>
  );
}

/** A bar that ends at the limit; what is beyond it is said in words and drawn over the end. */
function Share({ share }: { share: number }) {
  const beyond = share > 1;
  return (
    <span className={beyond ? "share beyond" : "share"}>
      <svg viewBox="0 0 48 10" aria-hidden="true">
        <rect className="share-track" x="0.5" y="1.5" width="39" height="7" />
        <rect
          className="share-fill"
          x="0.5"
          y="1.5"
          width={Math.min(1.18, share) * 39}
          height="7"
        />
        <path className="share-limit" d="M39.5 0v10" />
      </svg>
      {Math.round(share * 100)} %
    </span>
  );
}
