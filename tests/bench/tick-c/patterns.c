// Pulses of a stage: what its valves can make, and shares as on-runs over one to three periods, both valves together.
enum { ROUNDING = 2, OPEN = 4, FROZEN_STEPS = 1000, PINS_LATE_US = 500, NOT_BEGUN = 0xffff, ALONE_TIMES = 40, LATE_TICK_US = 2000 };

struct solenoid {
  u16 opening10, opening12, opening14, closing;
};

static u32 opening_us(const struct solenoid *solenoid, u32 mv) {
  if (mv >= 14000) return solenoid->opening14;
  if (mv >= 12000) return solenoid->opening12 - (u32)(solenoid->opening12 - solenoid->opening14) * (mv - 12000) / 2000;
  if (mv <= 10000) return solenoid->opening10;
  return solenoid->opening10 - (u32)(solenoid->opening10 - solenoid->opening12) * (mv - 10000) / 2000;
}

static u32 shorter(u32 us) { return (us - 1) / PWM_STEP_US; }
static u32 longer(u32 us) { return (us + 1) / PWM_STEP_US; }
static u32 greater(u32 a, u32 b) { return a < b ? b : a; }
static u32 spare(void) { return m.period_steps >> 5; }

static void measure_opening(struct stage *stage, const u16 *at) {
  const struct solenoid *nitrous = (const struct solenoid *)&at[STAGE_NITROUS_SOLENOID_AT / 2];
  const struct solenoid *fuel = (const struct solenoid *)&at[STAGE_FUEL_SOLENOID_AT / 2];
  stage->wet = OF_STAGE(at, STAGE_FUEL_SOLENOID_PRESENT);
  stage->nitrous_closing = longer(nitrous->closing);
  stage->fuel_closing = stage->wet ? fuel->closing / PWM_STEP_US : stage->nitrous_closing;
  stage->least_flowing = greater(stage->nitrous_closing, stage->fuel_closing) + ROUNDING;
  u32 draws = inputs.solenoidPins >> (2 * (stage - stages)) & 3;
  if (draws || !stage->periods) stage->drawn_mv = m.supply_mv;
  u32 mv = stage->drawn_mv;
  u32 nitrous_us = opening_us(nitrous, mv), fuel_us = stage->wet ? opening_us(fuel, mv) : nitrous_us;
  stage->nitrous_opening = shorter(nitrous_us);
  stage->fuel_opening = longer(fuel_us);
  stage->slower_opening = longer(greater(nitrous_us, fuel_us)) + ROUNDING;
  stage->quicker_opening = shorter(least(nitrous_us, fuel_us));
}

static u32 flowing_steps(i32 share_x32, u32 periods) {
  return ((u32)share_x32 * m.period_steps * periods + 16000) / 32000;
}

static u32 most_flowing(const struct stage *stage, u32 periods) {
  return periods * m.period_steps - stage->slower_opening;
}

static u32 fewest_periods(const struct stage *stage, i32 share_x32, u32 before) {
  u32 most = m.pattern_periods;
  for (u32 n = 1; n < most; n++) {
    u32 margin = n < before ? spare() : 0, flowing = flowing_steps(share_x32, n);
    if (flowing > stage->least_flowing + margin && flowing + margin <= most_flowing(stage, n)) return n;
  }
  return most;
}

static u32 want(struct stage *stage) {
  u32 before = stage->wanted, most = m.pattern_periods, flowing = flowing_steps(stage->share_x32, most);
  if (flowing <= stage->least_flowing + (before ? 0 : spare() >> 2)) return 0;
  if (flowing + stage->quicker_opening + (before == OPEN ? spare() : 0) >= most * m.period_steps) return OPEN;
  u32 periods = fewest_periods(stage, stage->share_x32, before);
  stage->wanted_flow = least(flowing_steps(stage->share_x32, periods), most_flowing(stage, periods));
  return stage->wanted_flow > stage->least_flowing ? periods : 0;
}

static void put_run(u32 s) {
  const struct stage *stage = &stages[s];
  pulses[2 * s] = (u16)least(stage->nitrous_run, m.period_steps);
  pulses[2 * s + 1] = (u16)(stage->wet ? least(stage->fuel_run, m.period_steps) : 0);
}

static void set_run(struct stage *stage, u32 flowing, bool open) {
  u32 nitrous = stage->nitrous_opening, fuel = stage->fuel_opening;
  u32 owed = fuel > nitrous ? fuel - nitrous : 0;
  stage->flow = flowing;
  stage->nitrous_run = flowing + (open ? 0 : nitrous) - stage->nitrous_closing;
  stage->fuel_run = flowing + (open ? owed : fuel) - stage->fuel_closing;
}

static void end_together(struct stage *stage) {
  u32 later = greater(stage->nitrous_run, stage->fuel_run), sooner = least(stage->nitrous_run, stage->fuel_run);
  for (u32 end = m.period_steps; end < later; end += m.period_steps) {
    if (sooner > end) continue;
    stage->flow -= later - end;
    stage->nitrous_run -= later - end;
    stage->fuel_run -= later - end;
    return;
  }
}

static void begin_pattern(u32 s) {
  struct stage *stage = &stages[s];
  stage->periods = stage->wanted;
  stage->period = 0;
  if (stage->periods == OPEN) {
    stage->nitrous_run = stage->fuel_run = m.period_steps;
  } else {
    set_run(stage, stage->wanted_flow, stage->was_open);
    if (stage->periods > 1) end_together(stage);
  }
  stage->holds_open = greater(stage->nitrous_run, stage->fuel_run) >= m.period_steps;
  put_run(s);
}

static void begin_flow(u32 s) {
  struct stage *stage = &stages[s];
  u32 most = most_flowing(stage, 1);
  bool open = stage->wanted == OPEN;
  stage->periods = open ? 1 : stage->wanted;
  stage->period = stage->was_open = stage->holds_open = 0;
  stage->phase = NOT_BEGUN;
  set_run(stage, open ? most : least(stage->wanted_flow, most), false);
  put_run(s);
}

static bool goes_on(const struct stage *stage) {
  if (stage->periods != stage->wanted) return false;
  if (stage->periods == OPEN) return stage->was_open;
  if (stage->periods != 1 || stage->was_open) return false;
  u32 flow = stage->wanted_flow;
  return stage->flow == flow && stage->nitrous_run == flow + stage->nitrous_opening - stage->nitrous_closing &&
         stage->fuel_run == flow + stage->fuel_opening - stage->fuel_closing;
}

static void next_period(u32 s) {
  struct stage *stage = &stages[s];
  if (goes_on(stage)) return;
  stage->was_open = stage->periods == OPEN;
  stage->period++;
  if (stage->was_open || stage->period >= stage->periods) {
    begin_pattern(s);
    return;
  }
  stage->nitrous_run -= least(stage->nitrous_run, m.period_steps);
  stage->fuel_run -= least(stage->fuel_run, m.period_steps);
  put_run(s);
}

static void shorten(u32 s) {
  struct stage *stage = &stages[s];
  u32 left = least(stage->nitrous_run, stage->fuel_run), flowing = flowing_steps(stage->share_x32, stage->periods);
  if (left < 2 || flowing >= stage->flow) return;
  u32 less = least(stage->flow - flowing, left - 1);
  stage->flow -= less;
  stage->nitrous_run -= less;
  stage->fuel_run -= less;
  put_run(s);
}

static void shut(u32 s) {
  if (m.ran & m.flowing & BIT(s)) {
    stages[s].was_shut = 1;
    stages[s].shut_us = m.now_us;
  }
  stages[s].wanted = stages[s].periods = stages[s].holds_open = 0;
  pulses[2 * s] = pulses[2 * s + 1] = 0;
}

static u32 alone(const struct stage *stage) {
  u32 early = stage->nitrous_opening + ROUNDING, closed = stage->fuel_closing + ROUNDING;
  if (stage->fuel_opening > early) return stage->fuel_opening - early + stage->nitrous_closing;
  return stage->nitrous_closing > closed ? stage->nitrous_closing - closed : 0;
}

static bool must_rest(struct stage *stage) {
  if (!stage->was_shut) return false;
  u32 steps = greater(stage->least_flowing, ALONE_TIMES * alone(stage));
  if (m.now_us - stage->shut_us < steps * PWM_STEP_US + PINS_LATE_US) return true;
  stage->was_shut = 0;
  return false;
}

static bool follow_periods(void) {
  int wrapped = -1;
  for (u32 s = 0; s < STAGES; s++) {
    struct stage *stage = &stages[s];
    if (!stage->periods) continue;
    u32 phase = inputs.phase[s];
    if (phase < stage->phase) {
      if (wrapped >= 0) continue;
      wrapped = (int)s;
    }
    stage->phase = phase;
  }
  if (wrapped < 0) return false;
  next_period((u32)wrapped);
  return true;
}

static void drive(u32 s, const u16 *at, bool period_set) {
  struct stage *stage = &stages[s];
  measure_opening(stage, at);
  u32 wanted = stage->share_x32 > 0 ? want(stage) : 0;
  if (!wanted) {
    shut(s);
    return;
  }
  if (!stage->periods && must_rest(stage)) return;
  stage->wanted = wanted;
  if (!stage->periods) begin_flow(s);
  else if (stage->phase + FROZEN_STEPS < m.period_steps) {
    if (stage->period) shorten(s);
    else if (!period_set) begin_pattern(s);
  }
}

static bool asks_open(const struct stage *stage) {
  if (flowing_steps(stage->asked_x32, 1) + spare() > most_flowing(stage, 1)) return true;
  u32 flowing = flowing_steps(stage->asked_x32, fewest_periods(stage, stage->asked_x32, OPEN));
  u32 nitrous = flowing + stage->nitrous_opening - stage->nitrous_closing;
  u32 fuel = flowing + stage->fuel_opening - stage->fuel_closing;
  return flowing > stage->least_flowing && greater(nitrous, fuel) + spare() >= m.period_steps;
}

static u32 retard_share(const struct stage *stage) {
  if (stage->asked_x32 <= 0) return 0;
  return stage->holds_open || asks_open(stage) ? 32000 : (u32)stage->asked_x32;
}
