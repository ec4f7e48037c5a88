// Share that the ramps of a stage allow.
struct point {
  u16 x, y;
};

static i32 place(u32 axis, const struct stage *stage) {
  switch (axis) {
    case AXIS_TIME: return (i32)stage->open_ms;
    case AXIS_ENGINE_SPEED: return (i32)engine.speed;
    case AXIS_ROAD_SPEED: return (i32)road.speed;
    case AXIS_LAUNCH: return m.launched ? (i32)m.launch_ms : -1;
    default: return sensors[ADC_MANIFOLD].value;
  }
}

static i32 between(const struct point *p, i32 x) {
  i32 dx = p[1].x - p[0].x, dy = p[1].y - p[0].y;
  return (p[0].y << 5) + (dy * (x - p[0].x) * 32) / dx;
}

static const struct point *search(const struct point *low, const struct point *high, i32 x) {
  while (high - low > 1) {
    const struct point *middle = low + (high - low) / 2;
    if (x < middle->x) high = middle;
    else low = middle;
  }
  return low;
}

static i32 ramp_share(const u16 *ramp, const u16 **found, const struct stage *stage) {
  i32 x = place(ramp[RAMP_OVER / 2], stage);
  if (x < 0) return 0;
  const struct point *before = (const struct point *)*found;
  if (x >= before[0].x && x < before[1].x) return between(before, x);
  const struct point *first = (const struct point *)&ramp[RAMP_POINTS_FIRST / 2];
  if (x <= first->x) return first->y << 5;
  const struct point *last = first + ramp[RAMP_POINTS_COUNT / 2] - 1;
  if (x >= last->x) return last->y << 5;
  const struct point *point = search(first, last, x);
  *found = (const u16 *)point;
  return between(point, x);
}

static i32 allowed_share(u32 s, const u16 *at) {
  const u16 *ramp = &at[STAGE_RAMPS_FIRST / 2];
  i32 share = ramp_share(ramp, &ramp_place[s][0], &stages[s]);
  if (OF_STAGE(at, STAGE_RAMPS_COUNT) < 2) return share;
  return least_signed(share, ramp_share(ramp + STAGE_RAMPS_STRIDE / 2, &ramp_place[s][1], &stages[s]));
}
