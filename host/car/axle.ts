/** Load of the driven wheels: at rest, and what acceleration moves onto them. */
import type { CarData } from "./car.ts";

/** Share of the car's weight on the driven wheels at rest. */
export function drivenShare(car: CarData): number {
  const rear = car.gravityBehindFrontM / car.wheelbaseM;
  return car.driven === "all" ? 1 : car.driven === "rear" ? rear : 1 - rear;
}

/** Load, N, that each m/s2 moves onto the driven wheels. */
export function transferKg(car: CarData): number {
  const rearward = (car.massKg * car.gravityHeightM) / car.wheelbaseM;
  return car.driven === "all" ? 0 : car.driven === "rear" ? rearward : -rearward;
}
