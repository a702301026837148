/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "base/utf8.h"

static size_t sequence_length(unsigned char first)
{
    if (first < 0x80) return 1;
    if (first >= 0xC2 && first <= 0xDF) return 2;
    if (first >= 0xE0 && first <= 0xEF) return 3;
    if (first >= 0xF0 && first <= 0xF4) return 4;
    return 0;
}

/* Overlong forms, surrogates and what lies beyond U+10FFFF are not characters. */
static int is_character(uint32_t code, size_t length)
{
    static const uint32_t LEAST[] = {0, 0, 0x80, 0x800, 0x10000};
    return code >= LEAST[length] && code <= 0x10FFFF && !(code >= 0xD800 && code <= 0xDFFF);
}

size_t es_utf8_read(const char *text, size_t n, uint32_t *code)
{
    if (!n) return 0;
    const unsigned char first = (unsigned char)text[0];
    const size_t length = sequence_length(first);
    if (!length || length > n) return 0;
    uint32_t value = length == 1 ? first : first & (0x7Fu >> length);
    for (size_t i = 1; i < length; i++) {
        const unsigned char next = (unsigned char)text[i];
        if ((next & 0xC0) != 0x80) return 0;
        value = value << 6 | (next & 0x3F);
    }
    if (!is_character(value, length)) return 0;
    *code = value;
    return length;
}

size_t es_utf8_count(const char *text, size_t n)
{
    size_t count = 0;
    for (size_t at = 0; at < n; count++) {
        uint32_t code;
        const size_t length = es_utf8_read(text + at, n - at, &code);
        at += length ? length : 1;
    }
    return count;
}

bool es_utf8_is_control(uint32_t code)
{
    return code < 0x20 || (code >= 0x7f && code < 0xa0);
}

bool es_utf8_is_line(const char *text, size_t n)
{
    size_t length;
    for (size_t at = 0; at < n; at += length) {
        uint32_t code = 0;
        length = es_utf8_read(text + at, n - at, &code);
        if (!length || es_utf8_is_control(code)) return false;
    }
    return true;
}
