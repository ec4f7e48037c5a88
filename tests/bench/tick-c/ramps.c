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

static u32 shorter(u32 us) { return (us - 1) / PWM_STEP_US; }
static u32 longer(u32 us) { return (us + 1) / PWM_STEP_US; }
static u32 slower_of(u32 a, u32 b) { return a < b ? b : a; }

static void one_pulse(const struct solenoid *nitrous, u32 flowing, u16 *to) {
  u32 opening = shorter(opening_us(nitrous)), closing = longer(nitrous->closing);
  if (flowing > closing)
    to[0] = (u16)(flowing + opening >= m.period_steps ? m.period_steps : flowing + opening - closing);
}

static void both_pulses(const struct solenoid *nitrous, const struct solenoid *fuel, u32 flowing, u16 *to) {
  u32 nitrous_us = opening_us(nitrous), fuel_us = opening_us(fuel);
  u32 nitrous_closing = longer(nitrous->closing), fuel_closing = fuel->closing / PWM_STEP_US;
  if (flowing + shorter(least(nitrous_us, fuel_us)) >= m.period_steps) {
    to[0] = to[1] = (u16)m.period_steps;
    return;
  }
  u32 most = m.period_steps - least(longer(slower_of(nitrous_us, fuel_us)) + 2, m.period_steps);
  u32 both = least(flowing, most);
  if (both <= slower_of(nitrous_closing, fuel_closing) + 2) return;
  to[0] = (u16)(both + shorter(nitrous_us) - nitrous_closing);
  to[1] = (u16)(both + longer(fuel_us) - fuel_closing);
}

static bool drive(u32 s, const u16 *at, i32 share_x32) {
  u16 *to = &pulses[2 * s];
  to[0] = to[1] = 0;
  if (share_x32 <= 0) return false;
  u32 flowing = ((u32)share_x32 * m.period_steps + 16000) / 32000;
  const struct solenoid *nitrous = (const struct solenoid *)&at[STAGE_NITROUS_SOLENOID_AT / 2];
  const struct solenoid *fuel = (const struct solenoid *)&at[STAGE_FUEL_SOLENOID_AT / 2];
  if (OF_STAGE(at, STAGE_FUEL_SOLENOID_PRESENT)) both_pulses(nitrous, fuel, flowing, to);
  else one_pulse(nitrous, flowing, to);
  return to[0] != 0;
}
