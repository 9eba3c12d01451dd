/* A whole sleeve on an ATmega328P at 16 MHz: four bridge converters of 24 bits
 * with the usual two wires (data falls when a conversion is ready; 24 clock
 * pulses fetch it, highest bit first, a 25th chooses gain 128), one clock line
 * for all; frames over the serial port at 250000 baud, 8N1.
 *
 * Wiring: PB0 clock of all converters, PC0 to PC3 their data. Registers and
 * the supply measured against the 1.1 V reference: the controller's data sheet.
 */
#include <avr/eeprom.h>
#include <avr/interrupt.h>
#include <avr/io.h>
#include <avr/wdt.h>
#include <util/atomic.h>
#include <util/delay.h>

#include "firmware/sleeve.h"

enum { kChannels = 4, kPerFrame = 4, kRingSamples = 48, kInbox = 32 };

/* What survives power loss. */
static uint32_t EEMEM saved_starts;
static uint32_t EEMEM saved_brownouts;
static uint32_t EEMEM saved_serial; /* write another one into each sleeve */

/* --- clock: timer 1 counts half microseconds -------------------------------
 */

static volatile uint32_t timer_high;

ISR(TIMER1_OVF_vect) { ++timer_high; }

static uint64_t now_us(void* self) {
  (void)self;
  uint32_t high;
  uint16_t low;
  ATOMIC_BLOCK(ATOMIC_RESTORESTATE) {
    low = TCNT1;
    high = timer_high;
    /* It wrapped and the interrupt still waits. */
    if ((TIFR1 & (1 << TOV1)) != 0 && low < 0x8000u) ++high;
  }
  return (((uint64_t)high << 16) | low) >> 1;
}

/* --- converters ------------------------------------------------------------
 */

static void pulse(void) {
  /* Longer than 60 us high would send the converters to sleep. */
  ATOMIC_BLOCK(ATOMIC_RESTORESTATE) {
    PORTB |= 1 << PORTB0;
    _delay_us(0.5);
    PORTB &= (uint8_t) ~(1 << PORTB0);
  }
  _delay_us(0.5);
}

static bool read_converters(void* self, int32_t* counts, uint64_t* t_us) {
  uint32_t words[kChannels] = {0};
  if ((PINC & 0x0F) != 0) return false; /* not all are ready */
  *t_us = now_us(self);
  for (uint8_t bit = 0; bit < 24; ++bit) {
    pulse();
    const uint8_t data = PINC;
    for (uint8_t c = 0; c < kChannels; ++c) {
      words[c] = (words[c] << 1) | ((data >> c) & 1u);
    }
  }
  pulse();
  for (uint8_t c = 0; c < kChannels; ++c) {
    counts[c] = (int32_t)(words[c] ^ 0x800000u) - (int32_t)0x800000;
  }
  return true;
}

/* --- serial port -----------------------------------------------------------
 */

static volatile uint8_t inbox[kInbox];
static volatile uint8_t inbox_in;
static volatile uint8_t inbox_out;

/* What does not fit is lost; the check sum tells. */
ISR(USART_RX_vect) {
  const uint8_t byte = UDR0;
  const uint8_t next = (uint8_t)((inbox_in + 1) % kInbox);
  if (next == inbox_out) return;
  inbox[inbox_in] = byte;
  inbox_in = next;
}

static size_t send_bytes(void* self, const uint8_t* bytes, size_t size) {
  (void)self;
  if (size == 0 || (UCSR0A & (1 << UDRE0)) == 0) return 0;
  UDR0 = bytes[0];
  return 1;
}

static size_t receive_bytes(void* self, uint8_t* bytes, size_t room) {
  (void)self;
  size_t count = 0;
  while (count < room && inbox_out != inbox_in) {
    bytes[count++] = inbox[inbox_out];
    inbox_out = (uint8_t)((inbox_out + 1) % kInbox);
  }
  return count;
}

/* --- supply: the 1.1 V reference, measured against it -----------------------
 */

static uint16_t supply_mv(void* self) {
  static uint16_t last_mv;
  (void)self;
  if ((ADCSRA & (1 << ADSC)) != 0) return last_mv;
  const uint16_t reading = ADC;
  if (reading != 0) last_mv = (uint16_t)(1100ul * 1024ul / reading);
  ADCSRA |= 1 << ADSC;
  return last_mv;
}

/* --- start -----------------------------------------------------------------
 */

static void start_board(void) {
  DDRB |= 1 << DDB0;
  TCCR1B = 1 << CS11; /* 16 MHz / 8 */
  TIMSK1 = 1 << TOIE1;
  UCSR0A = 1 << U2X0;
  UBRR0 = 7; /* 250000 baud, exactly */
  UCSR0B = (1 << RXCIE0) | (1 << RXEN0) | (1 << TXEN0);
  UCSR0C = (1 << UCSZ01) | (1 << UCSZ00);
  ADMUX = (1 << REFS0) | 0x0E;
  ADCSRA = (1 << ADEN) | (1 << ADSC) | 0x07;
  sei();
}

static uint32_t count_up(uint32_t* saved, bool more) {
  uint32_t count = eeprom_read_dword(saved);
  if (count == 0xFFFFFFFFul) count = 0; /* never written */
  if (more) eeprom_update_dword(saved, ++count);
  return count;
}

int main(void) {
  static uint8_t ring[kRingSamples * SLEEVE_SLOT(kChannels, 0)];
  static uint8_t raw[SLEEVE_RAW(kPerFrame, kChannels, 0)];
  static uint8_t out[SLEEVE_OUT(kPerFrame, kChannels, 0)];
  static uint8_t in[SLEEVE_IN];
  static struct sleeve sleeve;
  static const struct sleeve_board board = {
      0, read_converters, now_us, send_bytes, receive_bytes, supply_mv};
  static const struct sleeve_memory memory = {
      ring, sizeof ring, raw, sizeof raw, out, sizeof out, in, sizeof in};
  struct sleeve_config config = {0};
  const bool broke_down = (MCUSR & (1 << BORF)) != 0;
  MCUSR = 0;
  wdt_disable(); /* after its own reset it would run on, too short */
  config.name = "sleeve";
  config.channels = kChannels;
  config.rate_mhz = 80000;
  config.per_frame = kPerFrame;
  config.patience_us = 50000;
  config.brownouts = count_up(&saved_brownouts, broke_down);
  config.boot = sleeve_boot_id(eeprom_read_dword(&saved_serial),
                               count_up(&saved_starts, true));
  start_board();
  if (!sleeve_start(&sleeve, &board, &config, &memory)) return 1;
  wdt_enable(WDTO_1S);
  for (;;) {
    wdt_reset();
    sleeve_step(&sleeve);
  }
}
