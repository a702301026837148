/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Characters of a text that claims to be UTF-8 (RFC 3629). */
#ifndef ES_UTF8_H
#define ES_UTF8_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* Bytes of the character at the front of text[0..n), and its code point; 0 if it is not UTF-8 (or n is 0). */
size_t es_utf8_read(const char *text, size_t n, uint32_t *code);
/* Characters in text[0..n); a byte that is not UTF-8 counts as one. */
size_t es_utf8_count(const char *text, size_t n);
/* Is it a control character (C0, DEL or C1), which a terminal might obey? */
bool es_utf8_is_control(uint32_t code);
/* Is text[0..n) UTF-8 without control characters: something to print? */
bool es_utf8_is_line(const char *text, size_t n);

#endif
