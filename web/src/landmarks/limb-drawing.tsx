import type { DrawnView } from "./places";

/** A right below-knee limb in lines: the skin, the bones under it and the tendons. */
export function LimbDrawing({ view }: { view: DrawnView }) {
  const Lines = DRAWINGS[view];
  return (
    <g className="limb-lines">
      <Lines />
    </g>
  );
}

const DRAWINGS = { front: Front, outer: Outer, back: Back, inner: Inner } as const;

/** From the front; what is seen from the back has the same outline, mirrored. */
const OUTLINE =
  "M18 2 C21 24 26 38 27 54 C27 64 25 74 26 84 C28 108 31 136 36 156 C41 184 79 184 84 156 C89 136 92 112 93 92 C94 78 91 66 91 54 C92 38 98 24 102 2";
/** From the outer side, the front to the right. */
const PROFILE =
  "M22 2 C24 24 29 42 31 60 C31 74 22 88 24 108 C27 132 34 150 44 164 C58 184 84 180 87 158 C88 138 89 116 91 98 C93 92 93 86 90 82 L94 67 C100 60 101 46 97 37 C94 26 93 14 93 2";

function Front() {
  return (
    <>
      <path className="skin" d={OUTLINE} />
      <path
        className="bone"
        d="M60 66 C51 61 45 54 46 45 C48 32 72 32 74 45 C75 54 69 61 60 66 Z"
      />
      <path className="cord" d="M54 64 L56 84 M66 64 L64 84" />
      <ellipse className="bone" cx="60" cy="88" rx="6" ry="5" />
      <path className="bone" d="M37 74 C41 71 48 73 48 79 C48 84 51 96 52 108 L54 155" />
      <path className="bone" d="M83 74 C86 84 76 92 72 112 L69 155" />
      <path className="bone" d="M54 155 C57 160 66 160 69 155" />
      <path className="edge" d="M60 94 C60 116 61 136 61 156" />
      <path className="under" d="M31 80 C31 73 40 74 39 82 L44 143 C42 147 40 146 39 143 Z" />
      <path className="under" d="M33 48 C29 54 31 62 37 66 M86 48 C91 54 89 62 83 66" />
    </>
  );
}

function Outer() {
  return (
    <>
      <path className="skin" d={PROFILE} />
      <path className="bone" d="M91 38 C98 42 99 58 93 66 C87 60 86 44 91 38 Z" />
      <path className="cord" d="M92 67 L86 86 M95 67 L89 85" />
      <path
        className="bone"
        d="M43 83 C43 74 56 73 57 82 C58 88 54 92 54 98 L58 143 C56 148 53 148 51 143 L48 96 C47 92 43 90 43 83 Z"
      />
      <path
        className="under"
        d="M48 73 C60 70 74 72 84 78 C90 84 86 92 84 100 L81 155 C78 160 70 160 66 155 L63 100"
      />
      <path
        className="under"
        d="M58 26 C56 40 46 48 46 58 C48 70 74 70 82 62 C88 54 82 44 76 38 L76 26"
      />
      <path className="cord" d="M36 18 C38 42 42 62 46 76 M40 18 C42 42 46 60 50 74" />
    </>
  );
}

function Back() {
  return (
    <>
      <path className="skin" d={OUTLINE} transform="translate(120 0) scale(-1 1)" />
      <path className="cord" d="M43 6 C40 28 36 50 35 84 M48 6 C44 30 40 52 39 80" />
      <path className="cord" d="M79 6 C81 28 83 52 85 79 M74 6 C77 30 79 52 82 76" />
      <path className="edge" d="M40 62 C52 67 68 67 80 62" />
      <path className="under" d="M89 80 C89 73 80 74 81 82 L76 143 C78 147 80 146 81 143 Z" />
      <path
        className="under"
        d="M44 88 C46 100 51 110 52 124 L52 155 C56 160 64 160 66 155 L67 124 C68 110 72 98 74 86"
      />
      <path className="edge" d="M58 92 C57 112 57 132 59 150" />
    </>
  );
}

function Inner() {
  return (
    <>
      <path className="skin" d={PROFILE} transform="translate(120 0) scale(-1 1)" />
      <path className="bone" d="M29 38 C22 42 21 58 27 66 C33 60 34 44 29 38 Z" />
      <path className="cord" d="M28 67 L34 86 M25 67 L31 85" />
      <path
        className="bone"
        d="M34 86 C32 92 33 98 34 104 L37 155 C42 160 50 160 53 155 L52 116 C54 102 66 92 70 78 C60 70 44 72 36 78"
      />
      <path
        className="edge"
        d="M38 82 C46 80 56 80 64 80 M40 90 C46 88 52 88 58 89 M42 98 C46 97 49 97 53 98"
      />
      <path
        className="under"
        d="M62 26 C64 40 74 48 74 58 C72 70 46 70 38 62 C32 54 38 44 44 38 L44 26"
      />
      <path className="cord" d="M84 18 C82 44 78 68 62 92 M79 18 C78 44 73 66 58 88" />
    </>
  );
}
