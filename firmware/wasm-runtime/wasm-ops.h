// The operations of wasm2c's output, in place of the block that wasm2c puts before each module. Three things differ:
// bounds are checked in 32 bits against a constant, loads and stores assume natural alignment (AssemblyScript's; the
// Cortex-M0+ faults on any other), and the memory is static. Every access outside the memory still traps. What is
// missing here (floats, 64-bit division, indirect calls, growing) does not compile, which keeps it out of the core.
#ifndef HG_WASM_OPS_H
#define HG_WASM_OPS_H

#include <stdarg.h>
#include <stddef.h>
#include <string.h>

#include "../board/board.h"
#include "wasm-rt.h"

#define UNLIKELY(x) __builtin_expect(!!(x), 0)
#define FUNC_EPILOGUE
#define FUNC_TYPE_T(name) static const char name[]
#define UNREACHABLE wasm_trap()
#define assert(condition) ((void)0)
#define wasm_rt_is_initialized() true
#define wasm_rt_allocate_memory(memory, initial, max, is64, page) ((void)(memory))
#define wasm_rt_free_memory(memory) ((void)(memory))
#define WASM_RT_I32 0
#define WASM_RT_I64 1

// The compiler does not look through this, so that it keeps a pointer in a register for all fields near it, instead of
// loading a full address for each access.
#define OPAQUE(pointer) __asm__("" : "+r"(pointer))

// Each function keeps, for what it does most, the start of the core's state in one register: the core puts there what a
// tick touches most. The operations below take it as their first argument, unseen.
#define HOT_ADDRESS CORE_STATE_ADDRESS
#define HOT_BYTES 128u
#define FUNC_PROLOGUE                \
  u8 *hot = CORE_AT(HOT_ADDRESS);    \
  OPAQUE(hot);

// Pointer to base + offset, as a short distance from the start of the block of `offset` around it.
static inline __attribute__((always_inline)) void *near_pointer(u32 base, u32 offset, u32 bytes) {
  u32 reach = bytes == 4 ? 128u : bytes == 1 ? 32u : 64u;
  u8 *block = CORE_AT(base + (offset & ~(reach - 1u)));
  OPAQUE(block);
  return block + (offset & (reach - 1u));
}

// Bytes at the end of the memory that only an access with a constant address may touch.
#define CORE_EDGE 256u

// Pointer to `bytes` bytes at base + offset, or a trap. `offset` is a constant of the instruction. While it is small the
// base alone is held against one constant, the edge less: the compiler then tests a base once for all fields behind it.
static inline __attribute__((always_inline)) void *core_pointer(u8 *hot, u32 base, u32 offset, u32 bytes) {
  u32 room = offset <= CORE_EDGE - bytes && !__builtin_constant_p(base) ? CORE_EDGE : offset + bytes;
  if (UNLIKELY(offset > HG_CORE_MEMORY_BYTES - bytes || base > HG_CORE_MEMORY_BYTES - room)) wasm_trap();
  if (!__builtin_constant_p(base)) return near_pointer(base, offset, bytes);
  u32 from_hot = base + offset - HOT_ADDRESS;
  return from_hot < HOT_BYTES ? hot + from_hot : near_pointer(0, base + offset, bytes);
}

#define DEFINE_LOAD(name, stored, widened, result)                                         \
  static inline __attribute__((always_inline)) result name##_at(u8 *hot, u32 base, u32 offset) {         \
    return (result)(widened) * (const stored *)core_pointer(hot, base, offset, sizeof(stored)); \
  }

#define DEFINE_STORE(name, stored, given)                                                    \
  static inline __attribute__((always_inline)) void name##_at(u8 *hot, u32 base, u32 offset, given value) { \
    *(stored *)core_pointer(hot, base, offset, sizeof(stored)) = (stored)value;                   \
  }

DEFINE_LOAD(i32_load, u32, u32, u32)
DEFINE_LOAD(i32_load8_s, s8, s32, u32)
DEFINE_LOAD(i32_load8_u, u8, u32, u32)
DEFINE_LOAD(i32_load16_s, s16, s32, u32)
DEFINE_LOAD(i32_load16_u, u16, u32, u32)
DEFINE_LOAD(i64_load, u64, u64, u64)
DEFINE_LOAD(i64_load32_s, s32, s64, u64)
DEFINE_LOAD(i64_load32_u, u32, u64, u64)
DEFINE_STORE(i32_store, u32, u32)
DEFINE_STORE(i32_store8, u8, u32)
DEFINE_STORE(i32_store16, u16, u32)
DEFINE_STORE(i64_store, u64, u64)
DEFINE_STORE(i64_store32, u32, u64)

#define i32_load(...) i32_load_at(hot, __VA_ARGS__)
#define i32_load8_s(...) i32_load8_s_at(hot, __VA_ARGS__)
#define i32_load8_u(...) i32_load8_u_at(hot, __VA_ARGS__)
#define i32_load16_s(...) i32_load16_s_at(hot, __VA_ARGS__)
#define i32_load16_u(...) i32_load16_u_at(hot, __VA_ARGS__)
#define i64_load(...) i64_load_at(hot, __VA_ARGS__)
#define i64_load32_s(...) i64_load32_s_at(hot, __VA_ARGS__)
#define i64_load32_u(...) i64_load32_u_at(hot, __VA_ARGS__)
#define i32_store(...) i32_store_at(hot, __VA_ARGS__)
#define i32_store8(...) i32_store8_at(hot, __VA_ARGS__)
#define i32_store16(...) i32_store16_at(hot, __VA_ARGS__)
#define i64_store(...) i64_store_at(hot, __VA_ARGS__)
#define i64_store32(...) i64_store32_at(hot, __VA_ARGS__)

static inline void *core_range(u32 start, u32 count) {
  if (UNLIKELY(start > HG_CORE_MEMORY_BYTES || count > HG_CORE_MEMORY_BYTES - start)) wasm_trap();
  return CORE_AT(start);
}

#define memory_copy(to_memory, from_memory, to, from, count) \
  ((void)memmove(core_range(to, count), core_range(from, count), count))
#define memory_fill(memory, to, value, count) ((void)memset(core_range(to, count), (int)(value), count))
#define LOAD_DATA(memory, to, from, count) ((void)memcpy(core_range(to, count), from, count))

// SIO's integer divider, in line: the core divides often, and nothing but the main loop divides (see board/divider.S). The
// operands are written, four taken branches are the eight cycles that a division takes, and the result is read.
#define SIO_BASE 0xd0000000u
#define DEFINE_DIVIDE(name, number, dividend_at, divisor_at)                                              \
  static inline __attribute__((always_inline)) number name(number dividend, number divisor) {             \
    number quotient;                                                                                      \
    __asm__ volatile(                                                                                     \
        "str %1, [%3, #" dividend_at "]\n str %2, [%3, #" divisor_at "]\n"                                \
        " b 1f\n1: b 1f\n1: b 1f\n1: b 1f\n1: ldr %0, [%3, #0x70]"                                         \
        : "=l"(quotient)                                                                                  \
        : "l"(dividend), "l"(divisor), "l"(SIO_BASE));                                                    \
    return quotient;                                                                                      \
  }
DEFINE_DIVIDE(quotient_unsigned, u32, "0x60", "0x64")
DEFINE_DIVIDE(quotient_signed, s32, "0x68", "0x6c")

static inline __attribute__((always_inline)) u32 divide_unsigned(u32 dividend, u32 divisor) {
  if (UNLIKELY(divisor == 0)) wasm_trap();
  return quotient_unsigned(dividend, divisor);
}

static inline __attribute__((always_inline)) u32 divide_signed(s32 dividend, s32 divisor) {
  if (UNLIKELY(divisor == 0 || (dividend == INT32_MIN && divisor == -1))) wasm_trap();
  return (u32)quotient_signed(dividend, divisor);
}

static inline u32 remainder_signed(s32 dividend, s32 divisor) {
  return divisor == -1 ? 0 : (u32)dividend - divide_signed(dividend, divisor) * (u32)divisor;
}

static inline u32 rotate_left(u32 value, u32 by) { return value << (by & 31u) | value >> (-by & 31u); }

// wasm2c uses DIV_U and REM_U for both widths; a 64-bit division is not offered.
#define DIV_U(dividend, divisor) divide_unsigned(only_32_bits(dividend), only_32_bits(divisor))
#define REM_U(dividend, divisor) ((dividend) - DIV_U(dividend, divisor) * (divisor))
#define only_32_bits(value) _Generic((value), u32: (value))
#define I32_DIV_S(dividend, divisor) divide_signed((s32)(dividend), (s32)(divisor))
#define I32_REM_S(dividend, divisor) remainder_signed((s32)(dividend), (s32)(divisor))
#define I32_ROTL(value, by) rotate_left(value, by)
#define I32_ROTR(value, by) rotate_left(value, -(by))
#define I32_CLZ(value) ((value) ? (u32)__builtin_clz(value) : 32u)
#define I32_CTZ(value) ((value) ? (u32)__builtin_ctz(value) : 32u)

#endif
