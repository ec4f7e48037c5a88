// Second boot stage: 256 bytes that the boot ROM copies to RAM and runs; the build writes their checksum at 252.
// It sets the SSI (datasheet: SSI) to plain 03h reads, which every flash chip knows, and starts the program. Called again
// from its copy in RAM after a flash write, with a link register that is not 0, it only does the first half.
  .syntax unified
  .cpu cortex-m0plus
  .thumb

  .equ SSI_BASE, 0x18000000
  .equ SSI_CTRLR0, 0x00
  .equ SSI_CTRLR1, 0x04
  .equ SSI_SSIENR, 0x08
  .equ SSI_BAUDR, 0x14
  .equ SSI_SPI_CTRLR0, 0xf4
  .equ CLOCK_DIVIDER, 4
  .equ FRAMES_32_EEPROM_READ, (31 << 16) | (3 << 8)
  .equ READ_03H_24_BIT_ADDRESS, (0x03 << 24) | (2 << 8) | (6 << 2)
  .equ VECTORS, 0x10000100
  .equ SCB_VTOR, 0xe000ed08

  .section .boot2, "ax"
  .global boot2
  .thumb_func
boot2:
  push {lr}
  ldr r3, =SSI_BASE
  movs r0, #0
  str r0, [r3, #SSI_SSIENR]
  movs r1, #CLOCK_DIVIDER
  str r1, [r3, #SSI_BAUDR]
  ldr r1, =FRAMES_32_EEPROM_READ
  str r1, [r3, #SSI_CTRLR0]
  ldr r1, =READ_03H_24_BIT_ADDRESS
  ldr r2, =SSI_BASE + SSI_SPI_CTRLR0
  str r1, [r2]
  str r0, [r3, #SSI_CTRLR1]
  movs r1, #1
  str r1, [r3, #SSI_SSIENR]
  pop {r0}
  cmp r0, #0
  beq 1f
  bx r0
1:
  ldr r0, =VECTORS
  ldr r1, =SCB_VTOR
  str r0, [r1]
  ldmia r0, {r0, r1}
  msr msp, r0
  bx r1
  .ltorg
