// Share that the ramps of a stage allow, and the pulses that make it flow.
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

struct solenoid {
  u16 opening10, opening12, opening14, closing;
};

static u32 opening_us(const struct solenoid *solenoid) {
  u32 mv = m.battery_mv;
  if (mv >= 14000) return solenoid->opening14;
  if (mv >= 12000) return solenoid->opening12 - (u32)(solenoid->opening12 - solenoid->opening14) * (mv - 12000) / 2000;
  if (mv <= 10000) return solenoid->opening10;
  return solenoid->opening10 - (u32)(solenoid->opening10 - solenoid->opening12) * (mv - 10000) / 2000;
}

static u32 pulse_steps(const u16 *words, u32 flowing) {
  const struct solenoid *solenoid = (const struct solenoid *)words;
  u32 closing = solenoid->closing / PWM_STEP_US;
  if (flowing <= closing) return 0;
  u32 width = flowing + opening_us(solenoid) / PWM_STEP_US - closing;
  return width + closing >= m.period_steps ? m.period_steps : width;
}

static bool drive(u32 s, const u16 *at, i32 share_x32) {
  u32 nitrous = 0, fuel = 0;
  if (share_x32 > 0) {
    u32 flowing = ((u32)share_x32 * m.period_steps + 16000) / 32000;
    nitrous = pulse_steps(&at[STAGE_NITROUS_SOLENOID_AT / 2], flowing);
    if (nitrous && OF_STAGE(at, STAGE_FUEL_SOLENOID_PRESENT)) {
      fuel = pulse_steps(&at[STAGE_FUEL_SOLENOID_AT / 2], flowing);
      if (fuel == 0) nitrous = 0;
    }
  }
  pulses[2 * s] = (u16)nitrous;
  pulses[2 * s + 1] = (u16)fuel;
  return nitrous != 0;
}
