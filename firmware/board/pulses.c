// GPIO edge interrupts: the arm switch, which cuts at any edge, and the engine and road pulses with their times. The
// highest priority of all, so nothing but a flash write (with all pins low) delays a cut.
#include "board.h"

#define ARM_EDGES (IO_EDGE_LOW(HG_PIN_ARM_SWITCH) | IO_EDGE_HIGH(HG_PIN_ARM_SWITCH))
#define ENGINE_EDGE IO_EDGE_HIGH(HG_PIN_ENGINE_PULSE)
#define ROAD_EDGE IO_EDGE_HIGH(HG_PIN_ROAD_PULSE)
_Static_assert(IO_INTS(HG_PIN_ENGINE_PULSE) == IO_INTS(HG_PIN_ROAD_PULSE), "one register holds both pulses");

// `known`: the time of the last edge may be used for a period.
struct train {
  uint32_t count, edge_us, period_us;
  bool known;
};

volatile uint32_t pulses_arm_cuts;
static struct train engine, road;

void io_bank0_isr(void);

static void note(struct train *train, uint32_t now) {
  train->period_us = train->known ? now - train->edge_us : 0;
  train->known = true;
  train->edge_us = now;
  train->count++;
}

void io_bank0_isr(void) {
  uint32_t arm = REG(IO_INTS(HG_PIN_ARM_SWITCH));
  if (arm) {
    stages_cut();
    REG(IO_INTR(HG_PIN_ARM_SWITCH)) = arm;
    pulses_arm_cuts++;
  }
  uint32_t pulse = REG(IO_INTS(HG_PIN_ENGINE_PULSE));
  if (!pulse) return;
  uint32_t now = now_us();
  REG(IO_INTR(HG_PIN_ENGINE_PULSE)) = pulse;
  if (pulse & ENGINE_EDGE) note(&engine, now);
  if (pulse & ROAD_EDGE) note(&road, now);
}

// Edges that came while interrupts were off have no time, and others between them were missed: two more are needed for the
// next period. Called with interrupts off, after a flash operation.
void pulses_forget(void) {
  REG(IO_INTR(HG_PIN_ENGINE_PULSE)) = ENGINE_EDGE | ROAD_EDGE;
  engine.known = road.known = false;
  engine.period_us = road.period_us = 0;
}

void pulses_start(void) {
  REG(IO_INTR(HG_PIN_ARM_SWITCH)) = ARM_EDGES;
  REG(IO_INTR(HG_PIN_ENGINE_PULSE)) = ENGINE_EDGE | ROAD_EDGE;
  REG(IO_INTE(HG_PIN_ARM_SWITCH)) = ARM_EDGES;
  REG(IO_INTE(HG_PIN_ENGINE_PULSE)) = ENGINE_EDGE | ROAD_EDGE;
  irq_enable(IRQ_IO_BANK0, 0);
}

static struct train copy(const struct train *train) {
  interrupts_off();
  struct train now = *train;
  interrupts_on();
  return now;
}

void pulses_fill(void) {
  volatile struct hg_inputs *inputs = CORE_INPUTS;
  struct train now = copy(&engine);
  inputs->enginePulses = now.count;
  inputs->engineEdgeUs = now.edge_us;
  inputs->enginePeriodUs = now.period_us;
  now = copy(&road);
  inputs->roadPulses = now.count;
  inputs->roadEdgeUs = now.edge_us;
  inputs->roadPeriodUs = now.period_us;
  inputs->armCuts = pulses_arm_cuts;
}
