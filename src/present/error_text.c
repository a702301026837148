/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A mistake or warning as a person reads it. */
#include "base/text.h"
#include "earshot/present.h"
#include "present/table.h"

static void add_place(const earshot_error *error, earshot_text *text)
{
    if (!error->file[0]) return;
    es_text_add(text, error->file);
    if (error->line) es_text_format(text, ":%u", error->line);
    if (error->line && error->column) es_text_format(text, ":%u", error->column);
    es_text_add(text, ": ");
}

/* Blanks up to the fault, tabs where the line has tabs, so that the mark stands below it on any terminal. */
static void add_indent(const char *excerpt, unsigned characters, earshot_text *text)
{
    unsigned n = 0;
    for (; *excerpt && n < characters; excerpt++) {
        if (((unsigned char)*excerpt & 0xC0) == 0x80) continue;
        es_text_add_char(text, *excerpt == '\t' ? '\t' : ' ');
        n++;
    }
    for (; n < characters; n++) es_text_add_char(text, ' ');
}

static void add_excerpt(const earshot_error *error, bool colour, earshot_text *text)
{
    if (!error->excerpt[0]) return;
    es_text_format(text, "    %s\n", error->excerpt);
    if (!error->caret) return;
    es_text_add(text, "    ");
    add_indent(error->excerpt, error->caret - 1, text);
    if (colour) es_text_add(text, "\033[1m");
    es_text_add_char(text, '^');
    const size_t shown = es_text_columns(error->excerpt);
    for (unsigned i = 1; i < error->width && error->caret + i <= shown; i++) es_text_add_char(text, '~');
    if (colour) es_text_add(text, "\033[0m");
    es_text_add_char(text, '\n');
}

void earshot_present_error(const earshot_error *error, bool warning, const earshot_look *look, earshot_text *text)
{
    add_place(error, text);
    if (warning) es_text_add(text, "warning: ");
    es_text_format(text, "%s\n", error->message[0] ? error->message : earshot_status_text(error->status));
    add_excerpt(error, look->colour, text);
    if (error->hint[0]) es_wrap("    ", error->hint, look->width, text);
}
