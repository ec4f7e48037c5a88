// TIMER: one alarm every HG_TICK_US wakes the main loop. Alarms compare for equality, so a target never lies in the past.
#include "board.h"

// Shortest time ahead at which an alarm is sure to be hit.
#define MARGIN_US 20

static volatile bool due;
static volatile uint32_t next_us;

void timer0_isr(void);

static void schedule(void) {
  next_us += HG_TICK_US;
  if ((int32_t)(next_us - now_us()) < MARGIN_US) next_us = now_us() + HG_TICK_US;
  REG(TIMER_ALARM0) = next_us;
}

void timer0_isr(void) {
  REG(TIMER_INTR) = TIMER_INT_ALARM0;
  due = true;
  schedule();
}

void clock_start(void) {
  next_us = now_us();
  schedule();
  REG(TIMER_INTE) = TIMER_INT_ALARM0;
  irq_enable(IRQ_TIMER0, 1);
}

// Sleeps until the next tick, and calls `attend` after each interrupt while the line has brought something. WFE and not
// WFI: taking an interrupt sets the event register, so one that comes between the test and the sleep still ends the sleep.
void clock_wait_for_tick(void (*attend)(void)) {
  while (!due) {
    __asm volatile("wfe" ::: "memory");
    if (uart_received()) attend();
  }
  due = false;
}

// Time to the next tick; none when it is due.
uint32_t clock_left_us(void) {
  int32_t left = (int32_t)(next_us - now_us());
  return due || left < 0 ? 0 : (uint32_t)left;
}
