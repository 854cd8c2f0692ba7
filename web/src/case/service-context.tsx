import { createContext, type ReactNode, useContext } from "react";
import type { Service } from "../api/client";

const ServiceContext = createContext<Service | null>(null);

export function ServiceProvider(props: { service: Service; children: ReactNode }) {
  return <ServiceContext value={props.service}>{props.children}</ServiceContext>;
}

/** The service, for what is neither the case nor its results: making and downloading. */
export function useService(): Service {
  const service = useContext(ServiceContext);
  if (service === null) {
    throw new Error("this part of the page needs the service around it");
  }
  return service;
}
