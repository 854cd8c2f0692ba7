import { type ReactNode, useEffect, useRef } from "react";

const FIRST_WAIT_MS = 450;
const NEXT_WAIT_MS = 130;

interface RepeatButtonProps {
  readonly name: string;
  readonly onStep: () => void;
  readonly children: ReactNode;
}

/** A button that steps at once, and on and on while it is held. */
export function RepeatButton({ name, onStep, children }: RepeatButtonProps) {
  const newest = useRef(onStep);
  useEffect(() => {
    newest.current = onStep;
  });
  const timer = useRef<ReturnType<typeof setTimeout>>(undefined);
  const stepped = useRef(false);
  const stop = (): void => clearTimeout(timer.current);
  useEffect(() => () => clearTimeout(timer.current), []);
  const again = (wait: number): void => {
    timer.current = setTimeout(() => {
      newest.current();
      again(NEXT_WAIT_MS);
    }, wait);
  };
  return (
    <button
      type="button"
      aria-label={name}
      onPointerDown={(event) => {
        if (event.button === 0) {
          stop();
          stepped.current = true;
          newest.current();
          again(FIRST_WAIT_MS);
        }
      }}
      onPointerUp={stop}
      onPointerCancel={stop}
      onPointerLeave={stop}
      onContextMenu={(event) => event.preventDefault()}
      onClick={() => {
        // By key or by a screen reader there was no press before.
        if (!stepped.current) {
          newest.current();
        }
        stepped.current = false;
      }}
    >
      {children}
    </button>
  );
}
