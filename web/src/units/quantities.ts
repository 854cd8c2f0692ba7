/** Numbers that carry their unit in the type, so that millimetres never pass for newtons. */

declare const unit: unique symbol;

type Quantity<Unit extends string> = number & { readonly [unit]: Unit };

export type Mm = Quantity<"mm">;
export type Kg = Quantity<"kg">;
export type Newton = Quantity<"N">;
export type Kpa = Quantity<"kPa">;
export type Degrees = Quantity<"deg">;
export type Percent = Quantity<"%">;
export type MetrePerSecond = Quantity<"m/s">;

export const mm = (value: number): Mm => value as Mm;
export const degrees = (value: number): Degrees => value as Degrees;
export const percent = (value: number): Percent => value as Percent;
