/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "plan/findings.h"

#include <stdarg.h>
#include <string.h>

#include "base/number.h"
#include "base/utf8.h"
#include "plan/lexer.h"

enum {
    LEAD_CHARACTERS = 100, /* shown in front of the fault at most, when a line is too long to show */
    ELLIPSIS = 3
};

void es_report_start(es_report *report, earshot_findings *findings, const es_sources *sources)
{
    memset(findings, 0, sizeof *findings);
    *report = (es_report){.findings = findings, .sources = sources};
}

bool es_source_line(const es_source *source, unsigned line, const char **text, size_t *n)
{
    es_lines lines = es_lines_of(source->text, source->size);
    while (es_next_line(&lines, text, n)) {
        if (lines.line == line) return true;
    }
    return false;
}

/* One character as it may be shown: terminals act on control characters. */
static size_t show_character(char *out, size_t room, const char *text, size_t n, size_t *used)
{
    uint32_t code = 0;
    const size_t length = es_utf8_read(text, n, &code);
    *used = length ? length : 1;
    const bool plain = length && !es_utf8_is_control(code);
    const size_t written = plain ? length : 1;
    if (written > room) return 0;
    if (plain)
        memcpy(out, text, length);
    else
        *out = code == '\t' && length ? ' ' : '?';
    return written;
}

/* Copies characters until out is full, which still leaves room for "..." and NUL. Returns how many. */
static unsigned show_text(char *out, size_t size, const char *text, size_t n)
{
    const size_t room = size - 1 - ELLIPSIS;
    size_t at = 0, filled = 0;
    unsigned count = 0;
    while (at < n) {
        size_t used;
        const size_t written = show_character(out + filled, room - filled, text + at, n - at, &used);
        if (!written) break;
        filled += written;
        at += used;
        count++;
    }
    memcpy(out + filled, at < n ? "..." : "", at < n ? ELLIPSIS + 1 : 1);
    return count;
}

const char *es_show(char buffer[ES_SHOWN], const char *text, size_t n)
{
    show_text(buffer, ES_SHOWN, text, n);
    return buffer;
}

static size_t skip_characters(const char *text, size_t n, unsigned count)
{
    size_t at = 0;
    for (unsigned i = 0; i < count && at < n; i++) {
        uint32_t code;
        const size_t length = es_utf8_read(text + at, n - at, &code);
        at += length ? length : 1;
    }
    return at;
}

static void fill_excerpt(earshot_error *error, const es_source *source)
{
    const char *line = "";
    size_t n = 0;
    if (!es_source_line(source, error->line, &line, &n)) return;
    const bool cut = error->column > LEAD_CHARACTERS;
    const unsigned skipped = cut ? error->column - 1 - LEAD_CHARACTERS / 2 : 0;
    const unsigned lead = cut ? ELLIPSIS : 0;
    const size_t from = skip_characters(line, n, skipped);
    memcpy(error->excerpt, "...", lead);
    const unsigned shown = show_text(error->excerpt + lead, sizeof error->excerpt - lead, line + from, n - from);
    error->caret = error->column - skipped + lead;
    const unsigned end = lead + shown + 1;
    if (error->caret > end)
        error->caret = 0; /* long characters: the place did not fit */
    else if (error->caret + error->width > end)
        error->width = end > error->caret ? end - error->caret : 1;
}

/* A format that was cut off may have left the front half of a character. */
static void drop_half_character(char *text)
{
    size_t at = 0;
    const size_t n = strlen(text);
    while (at < n) {
        uint32_t code;
        const size_t length = es_utf8_read(text + at, n - at, &code);
        if (!length) break;
        at += length;
    }
    if (n - at < 4) text[at] = '\0';
}

static void fill(const es_report *report, earshot_error *error, earshot_status status, earshot_place place,
                 const char *format, va_list arguments)
{
    *error = (earshot_error){.status = status, .line = place.line, .column = place.column, .width = place.width};
    es_vformat(error->message, sizeof error->message, format, arguments);
    drop_half_character(error->message);
    if (place.file >= report->sources->n) return;
    const es_source *source = &report->sources->item[place.file];
    es_format(error->file, sizeof error->file, "%s", source->name);
    drop_half_character(error->file);
    if (place.line) fill_excerpt(error, source);
}

earshot_error *es_mistake(es_report *report, earshot_status status, earshot_place place, const char *format, ...)
{
    const size_t i = report->findings->n_mistakes++;
    if (i >= EARSHOT_MAX_FINDINGS) return NULL;
    va_list arguments;
    va_start(arguments, format);
    fill(report, &report->findings->mistake[i], status, place, format, arguments);
    va_end(arguments);
    report->mistake_file[i] = place.file;
    return &report->findings->mistake[i];
}

earshot_error *es_warning(es_report *report, earshot_place place, const char *format, ...)
{
    const size_t i = report->findings->n_warnings++;
    if (i >= EARSHOT_MAX_FINDINGS) return NULL;
    va_list arguments;
    va_start(arguments, format);
    fill(report, &report->findings->warning[i], EARSHOT_OK, place, format, arguments);
    va_end(arguments);
    report->warning_file[i] = place.file;
    return &report->findings->warning[i];
}

void es_hint(earshot_error *error, const char *format, ...)
{
    if (!error) return;
    va_list arguments;
    va_start(arguments, format);
    es_vformat(error->hint, sizeof error->hint, format, arguments);
    va_end(arguments);
    drop_half_character(error->hint);
}

bool es_report_full(const es_report *report)
{
    return report->findings->n_mistakes >= EARSHOT_MAX_FINDINGS;
}

bool es_report_warned(const es_report *report)
{
    return report->findings->n_warnings > EARSHOT_MAX_FINDINGS;
}

static bool comes_before(const earshot_error *a, unsigned a_file, const earshot_error *b, unsigned b_file)
{
    if (a_file != b_file) return a_file < b_file;
    if (a->line != b->line) return a->line < b->line;
    return a->column < b->column;
}

/* Insertion sort: it keeps the order of what stands at one place, and there are 20 at most. */
static void sort(earshot_error *error, unsigned *file, size_t n)
{
    for (size_t i = 1; i < n; i++) {
        const earshot_error moving = error[i];
        const unsigned moving_file = file[i];
        size_t j = i;
        for (; j > 0 && comes_before(&moving, moving_file, &error[j - 1], file[j - 1]); j--) {
            error[j] = error[j - 1];
            file[j] = file[j - 1];
        }
        error[j] = moving;
        file[j] = moving_file;
    }
}

static size_t kept(size_t n)
{
    return n < EARSHOT_MAX_FINDINGS ? n : EARSHOT_MAX_FINDINGS;
}

void es_report_sort(es_report *report)
{
    earshot_findings *f = report->findings;
    sort(f->mistake, report->mistake_file, kept(f->n_mistakes));
    sort(f->warning, report->warning_file, kept(f->n_warnings));
}
