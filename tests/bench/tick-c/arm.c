// The arm switch, the modes and the self-test at arming.
enum { SEEN_OFF_US = 200000, SEEN_ON_US = 5000, NOISE_US = 5000, NOISE_LIMIT = 3 };
enum { NO_SUPPLY_MV = 2000, FOLLOW_US = 60000, SETTLE_TEST_US = 6000, FIRST_US = 3000 };
enum { TEST_OPEN, TEST_CLOSES, TEST_SETTLES, TEST_OPENS_LOW, TEST_CLOSES_AGAIN, TEST_OPENS_HIGH, TEST_CLOSES_LAST, TEST_SETTLES_LAST, TEST_TRIES };
enum { TRY_EVERY_US = 4000, TRIES = 3 };
enum { PIN_LOW, PIN_EDGES, PIN_HIGH };

static u32 drivers_at_rest(void);
static bool conducted(u32 channel);
static u32 stuck(u32 channel);

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

static bool unsupplied(void) { return m.supply_mv < NO_SUPPLY_MV; }

static void wait_for(bool reached, u32 next, u32 keep_alive) {
  if (reached) step(next, keep_alive);
  else if (m.arm_step_us > FOLLOW_US) lock_out(LOCK_KEEP_ALIVE, m.arm_step);
}

static void look(u32 next, u32 keep_alive) {
  if (m.arm_step_us < SETTLE_TEST_US) return;
  u32 fault = drivers_at_rest();
  if (fault) lock_out(LOCK_DRIVER, fault);
  else step(next, keep_alive);
}

static void judge_try(void) {
  u32 channel = m.try_channel;
  m.trying = 0;
  if (!(inputs.solenoidPins & BIT(channel))) return;
  if (conducted(channel)) {
    m.try_channel++;
    m.tries_failed = 0;
  } else if (++m.tries_failed >= TRIES) {
    lock_out(LOCK_DRIVER, stuck(channel));
  }
}

/** Each driver conducts once, one at a time. */
static void try_drivers(bool adc_good) {
  if (m.trying) {
    judge_try();
    return;
  }
  if (m.arm_step_us < TRY_EVERY_US) return;
  while (m.try_channel < 2 * STAGES && !(m.solenoids & BIT(m.try_channel))) m.try_channel++;
  if (m.try_channel == 2 * STAGES || !m.opens_slowly) {
    m.mode = MODE_ARMED;
    return;
  }
  if (!adc_good) return;
  m.trying = BIT(m.try_channel);
  m.arm_step_us = 0;
}

static void put_try(void) {
  if (!m.trying || m.mode != MODE_ARMING) return;
  outputs.pulse[m.try_channel] = TRY_US / PWM_STEP_US;
  outputs.runs = BIT(m.try_channel / 2);
}

static void test_arming(bool adc_good) {
  m.arm_step_us = add_until_full(m.arm_step_us, m.dt_us);
  switch (m.arm_step) {
    case TEST_OPEN:
      if (m.arm_step_us < FIRST_US) return;
      if (!unsupplied()) lock_out(LOCK_RELAY, m.supply_mv);
      else step(TEST_CLOSES, PIN_EDGES);
      return;
    case TEST_CLOSES:
      wait_for(supplied(), TEST_SETTLES, PIN_EDGES);
      return;
    case TEST_SETTLES:
      look(TEST_OPENS_LOW, PIN_LOW);
      return;
    case TEST_OPENS_LOW:
      wait_for(unsupplied(), TEST_CLOSES_AGAIN, PIN_EDGES);
      return;
    case TEST_CLOSES_AGAIN:
      wait_for(supplied(), TEST_OPENS_HIGH, PIN_HIGH);
      return;
    case TEST_OPENS_HIGH:
      wait_for(unsupplied(), TEST_CLOSES_LAST, PIN_EDGES);
      return;
    case TEST_CLOSES_LAST:
      wait_for(supplied(), TEST_SETTLES_LAST, PIN_EDGES);
      return;
    case TEST_TRIES:
      try_drivers(adc_good);
      return;
    default:
      if (m.arm_step_us >= SETTLE_TEST_US) step(TEST_TRIES, PIN_EDGES);
  }
}

static void disarm(void) {
  m.mode = MODE_OFF;
  m.keep_alive = m.armed_us = m.run_flowed_us = m.run_noise_cuts = 0;
  m.launched = m.engine_lost_watch = m.cut_back_us = m.lean_us = m.contradict_us = 0;
  m.fuel_low_turns = m.sensor_bad = m.adc_bad = battery_hold.stops_us = fuel_hold.stops_us = supply_hold.stops_us = bottle_hold.stops_us = 0;
  for (u32 s = 0; s < STAGES; s++)
    stages[s].flowed_us = stages[s].open_ms = stages[s].open_rest_us = stages[s].unconfirmed_us = 0;
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
  m.trip_value = m.lift_us = 0;
  m.try_channel = m.tries_failed = m.trying = 0;
  step(TEST_OPEN, 0);
}

static bool switched_off(void) {
  if (m.mode == MODE_TRIPPED) return m.arm_ready == 1;
  return m.arm_off_us >= NOISE_US || m.run_noise_cuts > NOISE_LIMIT;
}

static void follow_arm(bool adc_good) {
  follow_switch();
  if (m.mode == MODE_OFF) try_to_arm();
  else if (m.mode != MODE_SERVICE && m.mode != MODE_LOCKED && switched_off()) disarm();
  if (m.mode == MODE_ARMING) test_arming(adc_good);
  else if (is_armed()) m.armed_us = add_until_full(m.armed_us, m.dt_us);
}
