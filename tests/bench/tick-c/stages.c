// The stages: launch, order, rise, lead, closing.
enum { CLEAR_US = 20000, LONGEST_TURN_US = 20000, RISE_UNIT = 3125 };

static void follow_launch(void) {
  u32 now = inputs.switches & SWITCH_LAUNCH ? 1 : 0;
  u32 wanted = SETTING(LAUNCH_STARTS_AT) ? 0 : 1;
  bool started = SETTING(LAUNCH_PRESENT) && now != m.launch_switch && now == wanted && is_armed();
  m.launch_switch = now;
  if (started) {
    m.launched = 1;
    m.launch_ms = m.launch_rest_us = 0;
  } else if (m.launched) {
    u32 us = m.launch_rest_us + m.dt_us, ms = whole_ms(us);
    m.launch_rest_us = us - ms * 1000;
    m.launch_ms = add_until_full(m.launch_ms, ms);
  }
}

static i32 rise_x32(struct stage *stage, u32 dt_us) {
  u32 rest = stage->rise_rest + SETTING(FLOW_RISE_LIMIT_PERCENT_PER_S) * dt_us;
  u32 units = rest / RISE_UNIT;
  stage->rise_rest = rest - units * RISE_UNIT;
  return (i32)units;
}

static void reopen(struct stage *stage) {
  u32 way = SETTING(FLOW_AFTER_LIFT);
  u32 back = way == AFTER_LIFT_STEP_BACK ? SETTING(FLOW_STEP_BACK_MS) : 0;
  u32 keep = way == AFTER_LIFT_RESTART ? 0 : stage->open_ms;
  stage->open_ms = keep > back ? keep - back : 0;
  stage->open_rest_us = 0;
  stage->asked_from = m.lead_head;
  stage->closed = 0;
}

static bool own_turn(u32 s, const u16 *at, u32 dt_us) {
  struct stage *stage = &stages[s];
  if (OF_STAGE(at, STAGE_FOLLOWS_PRESENT)) {
    i32 least_x32 = (i32)OF_STAGE(at, STAGE_FOLLOWS_SHARE_PERMILLE) << 5;
    if (s == 0 || stages[s - 1].share_x32 < least_x32) return false;
  }
  if (!OF_STAGE(at, STAGE_DELAY_PRESENT)) return true;
  stage->waited_us = add_until_full(stage->waited_us, dt_us);
  return stage->waited_us > OF_STAGE(at, STAGE_DELAY_WAIT_MS) * 1000;
}

static void advance(u32 s, const u16 *at, u32 dt_us) {
  struct stage *stage = &stages[s];
  if (stage->closed) reopen(stage);
  u32 us = stage->open_rest_us + dt_us, ms = whole_ms(us);
  stage->open_rest_us = us - ms * 1000;
  stage->open_ms += ms;
  i32 allowed = allowed_share(s, at);
  if (m.cut_back_us) allowed = least_signed(allowed, (i32)SETTING(DRIVELINE_CUT_TO_PERMILLE) << 5);
  stage->asked_x32 = least_signed(allowed, stage->asked_x32 + rise_x32(stage, dt_us));
}

static void pass_lead(void) {
  m.lead_rest_us += m.round_us;
  while (m.lead_rest_us >= LEAD_SLOT_MS * 1000) {
    m.lead_rest_us -= LEAD_SLOT_MS * 1000;
    m.lead_head++;
    memcpy(lead_ring[m.lead_head % LEAD_SLOTS], lead_ring[(m.lead_head - 1) % LEAD_SLOTS], sizeof lead_ring[0]);
  }
}

static i32 following(u32 s) {
  const struct stage *stage = &stages[s];
  lead_ring[m.lead_head % LEAD_SLOTS][s] = (u16)stage->asked_x32;
  if (!SETTING(RETARD_PRESENT)) return stage->asked_x32;
  u32 slots = (SETTING(RETARD_LEAD_MS) + LEAD_SLOT_MS - 1) / LEAD_SLOT_MS + 1;
  if (m.lead_head - stage->asked_from < slots) return 0;
  return least_signed(stage->asked_x32, lead_ring[(m.lead_head - slots) % LEAD_SLOTS][s]);
}

static void close_stage(u32 s) {
  struct stage *stage = &stages[s];
  stage->asked_x32 = stage->share_x32 = 0;
  stage->asked_flow = 0;
  stage->waited_us = 0;
  stage->closed = 1;
  shut(s);
  m.flowing &= ~BIT(s);
}

static bool is_outside(u32 s) {
  stages[s].reasons = stage_windows(s) | (m.engines_out & BIT(s) ? BIT(LOCK_RPM_WIN) : 0);
  return stages[s].reasons != 0;
}

static void take_turn(u32 s, bool period_set) {
  struct stage *stage = &stages[s];
  const u16 *at = stage_settings(s);
  u32 dt_us = least(m.now_us - stage->turn_us, LONGEST_TURN_US);
  stage->turn_us = m.now_us;
  if (m.flowing & BIT(s)) stage->flowed_us = add_until_full(stage->flowed_us, dt_us);
  if (is_outside(s) || m.clear_us < CLEAR_US) {
    close_stage(s);
    return;
  }
  if (stage->asked_x32 > 0 || own_turn(s, at, dt_us)) advance(s, at, dt_us);
  stage->share_x32 = following(s);
  drive(s, at, period_set);
  stage->asked_flow = retard_share(stage) * OF_STAGE(at, STAGE_PORTION_PERMILLE);
}

static void stop_all(void) {
  for (u32 s = 0; s < STAGES; s++) {
    close_stage(s);
    stages[s].reasons = 0;
    stages[s].turn_us = m.now_us;
  }
  m.clear_us = 0;
}

static void close_outside(void) {
  m.engines_out = engines_outside();
  if (!m.engines_out) return;
  for (u32 s = 0; s < STAGES; s++)
    if (m.engines_out & BIT(s)) close_stage(s);
}

static void look_only(void) {
  for (u32 s = 0; s < STAGES; s++)
    if (!m.hushed) shut(s);
  m.hushed = 1;
  if (m.turn >= SETTING(STAGES_COUNT)) return;
  shut(m.turn);
  if (is_outside(m.turn)) close_stage(m.turn);
  else drive(m.turn, stage_settings(m.turn), false);
}

/** Runs all stages; a bit for each that flows. The pulses have been cleared before. */
static u32 run_stages(void) {
  follow_launch();
  if (!is_armed()) {
    stop_all();
    return 0;
  }
  close_outside();
  if (m.reasons == BIT(LOCK_ARM)) {
    look_only();
    return 0;
  }
  bool period_set = false;
  if (m.reasons) {
    if (m.flowing || m.clear_us) stop_all();
  } else {
    m.clear_us = m.clear_us ? add_until_full(m.clear_us, m.dt_us) : 1;
    if (!m.hushed)
      do period_set = follow_periods();
      while (period_set && m.dt_us >= LATE_TICK_US);
  }
  m.hushed = 0;
  if (m.turn == 0) pass_lead();
  if (m.turn < SETTING(STAGES_COUNT)) take_turn(m.turn, period_set);
  memcpy(outputs.pulse, pulses, sizeof pulses);
  for (u32 s = 0; s < STAGES; s++)
    if (stages[s].periods) outputs.runs |= BIT(s);
  m.flowing = outputs.runs;
  if (m.flowing) m.run_flowed_us = add_until_full(m.run_flowed_us, m.dt_us);
  m.mode = m.flowing ? MODE_FLOWING : MODE_ARMED;
  return m.flowing;
}
