import {
  createContext,
  type Dispatch,
  type ReactNode,
  type SetStateAction,
  useContext,
} from "react";
import type { ViewSettings } from "./view-settings";

interface ViewContextValue {
  readonly settings: ViewSettings;
  readonly setSettings: Dispatch<SetStateAction<ViewSettings>>;
}

const ViewContext = createContext<ViewContextValue | null>(null);

export function ViewProvider(props: ViewContextValue & { children: ReactNode }) {
  const { settings, setSettings, children } = props;
  return <ViewContext value={{ settings, setSettings }}>{children}</ViewContext>;
}

/** What is selected and shown in the picture, shared by the picture and the panels. */
export function useView(): ViewContextValue {
  const value = useContext(ViewContext);
  if (value === null) {
    throw new Error("this part of the page needs the view around it");
  }
  return value;
}
