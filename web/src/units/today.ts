/** The day that it is where the page is open, as the case document writes days. */
export function today(): string {
  const now = new Date();
  const two = (value: number): string => value.toString().padStart(2, "0");
  return `${now.getFullYear().toString()}-${two(now.getMonth() + 1)}-${two(now.getDate())}`;
}
