/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "base/text.h"

#include <stdarg.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "base/number.h"

static bool make_room(earshot_text *text, size_t more)
{
    if (text->failed) return false;
    if (more >= SIZE_MAX / 2 - text->size) {
        text->failed = true;
        return false;
    }
    const size_t needed = text->size + more + 1;
    if (needed <= text->capacity) return true;
    const size_t capacity = needed < 256 ? 256 : needed + needed / 2;
    char *moved = realloc(text->data, capacity);
    if (!moved) {
        text->failed = true;
        return false;
    }
    text->data = moved;
    text->capacity = capacity;
    return true;
}

void es_text_add_bytes(earshot_text *text, const char *bytes, size_t n)
{
    if (!make_room(text, n)) return;
    memcpy(text->data + text->size, bytes, n);
    text->size += n;
    text->data[text->size] = '\0';
}

void es_text_add(earshot_text *text, const char *piece)
{
    es_text_add_bytes(text, piece, strlen(piece));
}

void es_text_add_char(earshot_text *text, char c)
{
    es_text_add_bytes(text, &c, 1);
}

void es_text_format(earshot_text *text, const char *format, ...)
{
    va_list arguments, again;
    va_start(arguments, format);
    va_copy(again, arguments);
    const int length = es_vformat(NULL, 0, format, arguments);
    if (length < 0) {
        text->failed = true;
    } else if (make_room(text, (size_t)length)) {
        es_vformat(text->data + text->size, (size_t)length + 1, format, again);
        text->size += (size_t)length;
    }
    va_end(again);
    va_end(arguments);
}

size_t es_text_columns(const char *text)
{
    size_t columns = 0;
    for (; *text; text++) columns += ((unsigned char)*text & 0xC0) != 0x80;
    return columns;
}

void earshot_text_clear(earshot_text *text)
{
    free(text->data);
    *text = (earshot_text){0};
}
