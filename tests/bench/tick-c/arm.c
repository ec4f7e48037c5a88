// The arm switch, the modes and the self-test at arming.
enum { SEEN_OFF_US = 200000, SEEN_ON_US = 5000, NOISE_US = 5000, NOISE_LIMIT = 3 };
enum { NO_SUPPLY_MV = 2000, FOLLOW_US = 60000, SETTLE_TEST_US = 6000, FIRST_US = 3000 };
enum { TEST_OPEN, TEST_CLOSES, TEST_SETTLES, TEST_OPENS, TEST_CLOSES_AGAIN, TEST_SETTLES_AGAIN };

static u32 drivers_at_rest(void);

static void trip(u32 lock, u32 value) {
  if (!is_up()) return;
  m.mode = MODE_TRIPPED;
  m.keep_alive = 0;
  m.trip = lock;
  m.trip_value = value;
}

static void lock_out(u32 lock, u32 value) {
  if (!is_up() && m.mode != MODE_TRIPPED) return;
  m.mode = MODE_LOCKED;
  m.keep_alive = 0;
  m.trip = lock;
  m.trip_value = value;
}

static void step(u32 next, u32 keep_alive) {
  m.arm_step = next;
  m.arm_step_us = 0;
  m.keep_alive = keep_alive;
}

static bool supplied(void) { return m.supply_mv > m.battery_mv >> 1 && m.supply_mv > NO_SUPPLY_MV; }

static void wait_for(bool reached, u32 next) {
  if (reached) step(next, 1);
  else if (m.arm_step_us > FOLLOW_US) lock_out(LOCK_KEEP_ALIVE, m.arm_step);
}

static void look(u32 next, u32 keep_alive) {
  if (m.arm_step_us < SETTLE_TEST_US) return;
  u32 fault = drivers_at_rest();
  if (fault) lock_out(LOCK_DRIVER, fault);
  else step(next, keep_alive);
}

static void test_arming(void) {
  m.arm_step_us = add_until_full(m.arm_step_us, m.dt_us);
  switch (m.arm_step) {
    case TEST_OPEN:
      if (m.arm_step_us < FIRST_US) return;
      if (m.supply_mv >= NO_SUPPLY_MV) lock_out(LOCK_RELAY, m.supply_mv);
      else step(TEST_CLOSES, 1);
      return;
    case TEST_CLOSES:
      wait_for(supplied(), TEST_SETTLES);
      return;
    case TEST_SETTLES:
      look(TEST_OPENS, 0);
      return;
    case TEST_OPENS:
      wait_for(m.supply_mv < NO_SUPPLY_MV, TEST_CLOSES_AGAIN);
      return;
    case TEST_CLOSES_AGAIN:
      wait_for(supplied(), TEST_SETTLES_AGAIN);
      return;
    default:
      if (m.arm_step_us >= SETTLE_TEST_US) m.mode = MODE_ARMED;
  }
}

static void disarm(void) {
  m.mode = MODE_OFF;
  m.keep_alive = m.armed_us = m.run_flowed_us = m.run_noise_cuts = 0;
  m.launched = m.engine_lost_watch = m.cut_back_us = 0;
  for (u32 s = 0; s < STAGES; s++) stages[s].flowed_us = stages[s].open_ms = stages[s].open_rest_us = 0;
}

static void follow_switch(void) {
  if (inputs.switches & SWITCH_ARM) {
    bool cut = inputs.armCuts != m.cuts_seen;
    m.cuts_seen = inputs.armCuts;
    m.arm_on_us = cut ? 0 : add_until_full(m.arm_on_us, m.dt_us);
    if (cut && is_up()) {
      m.noise_cuts++;
      m.run_noise_cuts++;
    }
    m.arm_off_us = 0;
    return;
  }
  m.arm_on_us = 0;
  m.arm_off_us = add_until_full(m.arm_off_us, m.dt_us);
  if (m.arm_off_us >= SEEN_OFF_US) {
    m.arm_ready = 1;
    m.boot_hold = 0;
  }
}

static void try_to_arm(void) {
  if (!m.arm_ready || m.arm_on_us < SEEN_ON_US || !m.settings_valid) return;
  m.mode = MODE_ARMING;
  m.arm_ready = 0;
  m.trip = LOCK_NONE;
  m.trip_value = 0;
  step(TEST_OPEN, 0);
}

static bool switched_off(void) {
  if (m.mode == MODE_TRIPPED) return m.arm_ready == 1;
  return m.arm_off_us >= NOISE_US || m.run_noise_cuts > NOISE_LIMIT;
}

static void follow_arm(void) {
  follow_switch();
  if (m.mode == MODE_OFF) try_to_arm();
  else if (m.mode != MODE_SERVICE && m.mode != MODE_LOCKED && switched_off()) disarm();
  if (m.mode == MODE_ARMING) test_arming();
  else if (is_armed()) m.armed_us = add_until_full(m.armed_us, m.dt_us);
}
