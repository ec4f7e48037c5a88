// registers.h against the chip maker's own headers: every register and bit there that has a published value has that value.
import { readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { boot2Register, cValues } from "../../support/c-values.ts";

const [, , ...rows] = readFileSync("tests/reference/rp2040-registers.csv", "utf8").trim().split("\n");
const published = new Map(rows.map((row) => row.split(",") as [string, string]));
const values = cValues(readFileSync("firmware/board/registers.h", "utf8"));

const value = (name: string): number => {
  const found = published.get(name);
  if (found === undefined) throw new Error(`no published value named ${name}`);
  return Number(found);
};
const register = (block: string, name: string): number => value(`${block}_BASE+${block}_${name}_OFFSET`);

/** Names of registers.h and what the headers call the same. */
const SAME: readonly (readonly [ours: string, theirs: number])[] = [
  ["RESETS_RESET", register("RESETS", "RESET")],
  ["RESETS_DONE", register("RESETS", "RESET_DONE")],
  ...["BUSCTRL", "IO_BANK0", "IO_QSPI", "JTAG", "PADS_BANK0", "PADS_QSPI", "PLL_SYS", "PLL_USB", "PWM"]
    .concat(["SPI0", "SYSCFG", "SYSINFO", "TBMAN", "TIMER", "UART0", "USBCTRL"])
    .map((block) => [`RESET_${block}`, value(`RESETS_RESET_${block}_BITS`)] as const),
  ["RESET_ALL", value("RESETS_RESET_BITS")],
  ...["CLK_REF_CTRL", "CLK_REF_SELECTED", "CLK_SYS_CTRL", "CLK_SYS_SELECTED", "CLK_PERI_CTRL"].map(
    (name) => [name, register("CLOCKS", name)] as const,
  ),
  ["CLK_SYS_RESUS_CTRL", register("CLOCKS", "CLK_SYS_RESUS_CTRL")],
  ["CLK_REF_SRC_BITS", value("CLOCKS_CLK_REF_CTRL_SRC_BITS")],
  ["CLK_REF_SRC_XOSC", value("CLOCKS_CLK_REF_CTRL_SRC_VALUE_XOSC_CLKSRC")],
  ["CLK_SYS_SRC_BITS", value("CLOCKS_CLK_SYS_CTRL_SRC_BITS")],
  ["CLK_SYS_SRC_AUX", value("CLOCKS_CLK_SYS_CTRL_SRC_VALUE_CLKSRC_CLK_SYS_AUX")],
  ["CLK_SYS_AUX_BITS", value("CLOCKS_CLK_SYS_CTRL_AUXSRC_BITS")],
  ["CLK_PERI_ENABLE", value("CLOCKS_CLK_PERI_CTRL_ENABLE_BITS")],
  ["XOSC_CTRL", register("XOSC", "CTRL")],
  ["XOSC_STATUS", register("XOSC", "STATUS")],
  ["XOSC_STARTUP", register("XOSC", "STARTUP")],
  ["XOSC_STABLE", value("XOSC_STATUS_STABLE_BITS")],
  ["XOSC_RANGE_1_15MHZ", value("XOSC_CTRL_FREQ_RANGE_VALUE_1_15MHZ")],
  ["PLL_SYS_CS", value("PLL_SYS_BASE+PLL_CS_OFFSET")],
  ["PLL_SYS_PWR", value("PLL_SYS_BASE+PLL_PWR_OFFSET")],
  ["PLL_SYS_FBDIV", value("PLL_SYS_BASE+PLL_FBDIV_INT_OFFSET")],
  ["PLL_SYS_PRIM", value("PLL_SYS_BASE+PLL_PRIM_OFFSET")],
  ["PLL_LOCK", value("PLL_CS_LOCK_BITS")],
  ["PLL_PD", value("PLL_PWR_PD_BITS")],
  ["PLL_POSTDIVPD", value("PLL_PWR_POSTDIVPD_BITS")],
  ["PLL_VCOPD", value("PLL_PWR_VCOPD_BITS")],
  ...["CTRL", "LOAD", "REASON", "SCRATCH0", "SCRATCH1", "SCRATCH2", "TICK"].map(
    (name) => [`WATCHDOG_${name}`, register("WATCHDOG", name)] as const,
  ),
  ["WATCHDOG_TRIGGER", value("WATCHDOG_CTRL_TRIGGER_BITS")],
  ["WATCHDOG_ENABLE", value("WATCHDOG_CTRL_ENABLE_BITS")],
  ["WATCHDOG_TICK_ENABLE", value("WATCHDOG_TICK_ENABLE_BITS")],
  ["PSM_WDSEL", register("PSM", "WDSEL")],
  ["IO_INTS(31)", register("IO_BANK0", "PROC0_INTS3")],
  ["1u << IO_STATUS_OUTTOPAD_BIT", value("IO_BANK0_GPIO0_STATUS_OUTTOPAD_BITS")],
  ...["GPIO2_CTRL_FUNCSEL_VALUE_SPI0_SCLK", "GPIO3_CTRL_FUNCSEL_VALUE_SPI0_TX"]
    .concat(["GPIO4_CTRL_FUNCSEL_VALUE_SPI0_RX"])
    .map((name) => ["IO_FUNCTION_SPI", value(`IO_BANK0_${name}`)] as const),
  ["IO_FUNCTION_UART", value("IO_BANK0_GPIO0_CTRL_FUNCSEL_VALUE_UART0_TX")],
  ["IO_FUNCTION_UART", value("IO_BANK0_GPIO1_CTRL_FUNCSEL_VALUE_UART0_RX")],
  ...["GPIO8_CTRL_FUNCSEL_VALUE_PWM_A_4", "GPIO9_CTRL_FUNCSEL_VALUE_PWM_B_4"]
    .concat(["GPIO15_CTRL_FUNCSEL_VALUE_PWM_B_7", "GPIO20_CTRL_FUNCSEL_VALUE_PWM_A_2"])
    .map((name) => ["IO_FUNCTION_PWM", value(`IO_BANK0_${name}`)] as const),
  ["IO_FUNCTION_SIO", value("IO_BANK0_GPIO8_CTRL_FUNCSEL_VALUE_SIO_8")],
  ["PAD_SCHMITT", value("PADS_BANK0_GPIO0_SCHMITT_BITS")],
  ["PAD_PULL_DOWN", value("PADS_BANK0_GPIO0_PDE_BITS")],
  ["PAD_PULL_UP", value("PADS_BANK0_GPIO0_PUE_BITS")],
  ["PAD_INPUT", value("PADS_BANK0_GPIO0_IE_BITS")],
  ["PADS_QSPI_FIRST", register("PADS_QSPI", "GPIO_QSPI_SCLK")],
  ["PADS_QSPI_FIRST + 4u * (PADS_QSPI_COUNT - 1u)", register("PADS_QSPI", "GPIO_QSPI_SS")],
  ["SIO_GPIO_IN", register("SIO", "GPIO_IN")],
  ["SIO_GPIO_OUT", register("SIO", "GPIO_OUT")],
  ["SIO_GPIO_OUT_SET", register("SIO", "GPIO_OUT_SET")],
  ["SIO_GPIO_OUT_CLEAR", register("SIO", "GPIO_OUT_CLR")],
  ["SIO_GPIO_OE", register("SIO", "GPIO_OE")],
  ["PWM_CSR(7)", register("PWM", "CH7_CSR")],
  ["PWM_ENABLE", value("PWM_CH0_CSR_EN_BITS")],
  ["PWM_DIV_INT_SHIFT", value("PWM_CH0_DIV_INT_LSB")],
  ...["CR0", "CR1", "DR", "CPSR", "IMSC"].map(
    (name) => [`SPI_${name}`, value(`SPI0_BASE+SPI_SSP${name}_OFFSET`)] as const,
  ),
  ["SPI_CR1_ENABLE", value("SPI_SSPCR1_SSE_BITS")],
  ["SPI_INT_RX_HALF", value("SPI_SSPIMSC_RXIM_BITS")],
  ...["DR", "FR", "IBRD", "FBRD", "LCR_H", "CR", "IMSC"].map(
    (name) => [`UART_${name}`, value(`UART0_BASE+UART_UART${name}_OFFSET`)] as const,
  ),
  ["UART_FR_BUSY", value("UART_UARTFR_BUSY_BITS")],
  ["UART_FR_RX_EMPTY", value("UART_UARTFR_RXFE_BITS")],
  ["UART_FR_TX_FULL", value("UART_UARTFR_TXFF_BITS")],
  ["UART_LCR_FIFOS", value("UART_UARTLCR_H_FEN_BITS")],
  ["UART_INT_RX", value("UART_UARTIMSC_RXIM_BITS")],
  ["UART_INT_TX", value("UART_UARTIMSC_TXIM_BITS")],
  ["UART_INT_RX_TIMEOUT", value("UART_UARTIMSC_RTIM_BITS")],
  ["TIMER_ALARM0", register("TIMER", "ALARM0")],
  ["TIMER_RAWL", value("TIMER_BASE+TIMER_TIMERAWL_OFFSET")],
  ["TIMER_INTR", register("TIMER", "INTR")],
  ["TIMER_INTE", register("TIMER", "INTE")],
  ["TIMER_INT_ALARM0", value("TIMER_INTE_ALARM_0_BITS")],
  ["NVIC_ISER", value("PPB_BASE+M0PLUS_NVIC_ISER_OFFSET")],
  ["SCB_VTOR", value("PPB_BASE+M0PLUS_VTOR_OFFSET")],
  ["IRQ_TIMER0", value("TIMER_IRQ_0")],
  ["IRQ_IO_BANK0", value("IO_IRQ_BANK0")],
  ["IRQ_SPI0", value("SPI0_IRQ")],
  ["IRQ_UART0", value("UART0_IRQ")],
];

describe("registers.h", () => {
  test.each(SAME)("%s is as published", (ours, theirs) => {
    expect(values(ours)).toBe(theirs >>> 0);
  });

  test("the PWM registers of every slice lie as far apart as the headers have them", () => {
    const base = value("PWM_BASE+PWM_CH7_CSR_OFFSET") - values("PWM_CSR(7)") + values("PWM_CSR(0)");
    expect(values("PWM_DIV(0)") - base).toBe(4);
    expect(values("PWM_TOP(3)") - values("PWM_CSR(3)")).toBe(0x10);
  });
});

describe("the second boot stage", () => {
  const source = readFileSync("firmware/board/boot2.S", "utf8");
  test.each([
    ["SSI_BASE", value("XIP_SSI_BASE")],
    ...["CTRLR0", "CTRLR1", "SSIENR", "BAUDR", "SPI_CTRLR0"].map(
      (name) => [`SSI_${name}`, value(`SSI_${name}_OFFSET`)] as const,
    ),
    ["SCB_VTOR", value("PPB_BASE+M0PLUS_VTOR_OFFSET")],
  ] as const)("%s is as published", (ours, theirs) => {
    expect(boot2Register(source, ours)).toBe(theirs);
  });
});
