// SIO hardware divider behind the compiler's division calls. For the main loop only: an interrupt handler must not
// divide, since nothing saves the divider's state around it. Divisors are never 0 here: the core's runtime has trapped.
  .syntax unified
  .cpu cortex-m0plus
  .thumb

  .equ DIV_UDIVIDEND, 0x60
  .equ DIV_UDIVISOR, 0x64
  .equ DIV_SDIVIDEND, 0x68
  .equ DIV_SDIVISOR, 0x6c
  .equ DIV_QUOTIENT, 0x70
  .equ DIV_REMAINDER, 0x74

// r0 / r1: quotient in r0, remainder in r1. Four taken branches are the eight cycles that a division takes; the
// quotient is read last, which tells the divider that its result has been fetched.
  .macro divide name, with_remainder, dividend, divisor
  .section .text.\name, "ax"
  .global \name, \with_remainder
  .thumb_func
\name:
  .thumb_func
\with_remainder:
  movs r2, #0xd0
  lsls r2, r2, #24
  str r0, [r2, #\dividend]
  str r1, [r2, #\divisor]
  b 1f
1:
  b 2f
2:
  b 3f
3:
  b 4f
4:
  ldr r1, [r2, #DIV_REMAINDER]
  ldr r0, [r2, #DIV_QUOTIENT]
  bx lr
  .endm

  divide __aeabi_uidiv, __aeabi_uidivmod, DIV_UDIVIDEND, DIV_UDIVISOR
  divide __aeabi_idiv, __aeabi_idivmod, DIV_SDIVIDEND, DIV_SDIVISOR
