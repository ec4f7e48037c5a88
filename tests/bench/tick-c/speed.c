// How fast the two speeds move from pulse to pulse: a misread engine speed is doubted, wheelspin cuts every stage back.
enum { EVEN_PULSES = 8, LONGEST_APART_US = 60000, ROAD_APART_US = 1000000, LARGEST_MOVE = 3600 };

static u32 apart(u32 a, u32 b) { return a > b ? a - b : b - a; }

static bool outran(u32 moved, u32 free, u32 most) {
  u32 counted = moved - free - 1;
  return moved > free + 1 && (counted > LARGEST_MOVE || counted * 1000000 > most);
}

static bool engine_outran(u32 from, u32 to, u32 us) {
  u32 free = (from * m.uneven_x64k) >> 16;
  return outran(apart(from, to), free, SETTING(ENGINE_JUMP_FASTEST_RPM_PER_S) * us);
}

static void forget_engine(void) {
  engine.judged_speed = engine.too_fast = engine.even_pulses = 0;
  engine.believed_speed = engine.misread_speed = engine.stray_us = 0;
}

static void forget_confirmed(void) {
  if (!engine.misread_speed) forget_engine();
  engine.judged_speed = engine.too_fast = 0;
}

static void doubt_speed(u32 believed, u32 read) {
  engine.believed_speed = least(believed, UINT16_MAX);
  engine.misread_speed = read ? read : 1;
}

static bool is_back(u32 believed, u32 now) {
  return apart(believed, now) <= believed >> 3 || !engine_outran(believed, now, engine.stray_us);
}

static void jump_in_doubt(u32 before, u32 now) {
  u32 believed = least(before * engine.believed_speed / engine.misread_speed, UINT16_MAX);
  doubt_speed(believed, now);
  if (is_back(believed, now)) engine.misread_speed = engine.even_pulses = 0;
}

static void jump(u32 before, u32 now, u32 us) {
  engine.too_fast++;
  engine.stray_us = least(engine.stray_us + us, LONGEST_APART_US);
  if (engine.misread_speed) jump_in_doubt(before, now);
  else if (engine.even_pulses >= EVEN_PULSES) doubt_speed(before, now);
  else if (engine.believed_speed && !is_back(engine.believed_speed, now)) doubt_speed(engine.believed_speed, now);
  else engine.even_pulses = 0;
}

static void follow_speed(u32 now) {
  engine.stray_us = 0;
  if (engine.misread_speed) {
    engine.too_fast = engine.too_fast == 1 ? 2 : 0;
    return;
  }
  engine.too_fast = 0;
  if (engine.believed_speed) engine.believed_speed = now;
  if (engine.even_pulses < EVEN_PULSES) engine.even_pulses++;
}

static void follow_engine(void) {
  u32 us = least(inputs.engineEdgeUs - engine.judged_us, LONGEST_APART_US);
  engine.judged_us = inputs.engineEdgeUs;
  if (engine.trust < 2 || !inputs.enginePeriodUs) {
    if (engine.trust) forget_confirmed();
    else forget_engine();
    return;
  }
  if (us == 0) return;
  u32 before = engine.judged_speed, now = engine.pulse_speed;
  engine.judged_speed = now;
  if (!before) return;
  if (engine_outran(before, now, us)) jump(before, now, us);
  else follow_speed(now);
}

static void judge_jump(void) {
  if (!SETTING(ENGINE_JUMP_PRESENT)) return;
  follow_engine();
  if (engine.too_fast >= 2 && is_armed()) trip(LOCK_RPM_JUMP, engine.judged_speed);
}

static bool speed_doubted(void) {
  return SETTING(ENGINE_JUMP_PRESENT) && (engine.even_pulses < EVEN_PULSES || engine.misread_speed);
}

static void follow_road(void) {
  u32 us = least(inputs.roadEdgeUs - road.judged_us, ROAD_APART_US);
  u32 before = road.judged_speed, now = road.pulse_speed;
  if (road.trust < 2 || !inputs.roadPeriodUs) {
    road.judged_speed = road.too_fast = 0;
    road.judged_us = inputs.roadEdgeUs;
    return;
  }
  if (us == 0) return;
  u32 most = SETTING(DRIVELINE_FASTEST_DECI_KMH_PER_S) * us;
  road.too_fast = before && now > before && outran(now - before, 0, most) ? road.too_fast + 1 : 0;
  road.judged_speed = now;
  road.judged_us = inputs.roadEdgeUs;
}

static void judge_driveline(void) {
  m.cut_back_us = m.cut_back_us > m.dt_us ? m.cut_back_us - m.dt_us : 0;
  if (!SETTING(DRIVELINE_PRESENT)) return;
  follow_road();
  if (road.too_fast >= 2 && is_armed()) m.cut_back_us = SETTING(DRIVELINE_HOLD_MS) * 1000;
}
