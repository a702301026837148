/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "plan/lexer.h"

#include <stdint.h>
#include <string.h>

#include "base/arena.h"
#include "base/number.h"
#include "base/utf8.h"

typedef struct cursor {
    const char *at, *end;
    unsigned column;
} cursor;

es_lines es_lines_of(const char *text, size_t size)
{
    const bool marked = size >= 3 && memcmp(text, "\xEF\xBB\xBF", 3) == 0;
    return (es_lines){.text = text, .size = size, .at = marked ? 3 : 0};
}

/* LF, CR LF, or CR alone, as editors of old wrote it. */
bool es_next_line(es_lines *lines, const char **line, size_t *n)
{
    if (lines->at >= lines->size) return false;
    const char *text = lines->text;
    const size_t start = lines->at, size = lines->size;
    size_t end = start;
    while (end < size && text[end] != '\n' && text[end] != '\r') end++;
    const bool both = end + 1 < size && text[end] == '\r' && text[end + 1] == '\n';
    lines->at = end == size ? size : end + 1 + both;
    lines->line++;
    *line = text + start;
    *n = end - start;
    return true;
}

static bool fail(es_lex_fault *fault, const cursor *from, unsigned width, const char *hint, const char *message)
{
    *fault = (es_lex_fault){.column = from->column, .width = width, .hint = hint};
    es_format(fault->message, sizeof fault->message, "%s", message);
    return false;
}

static bool fail_byte(es_lex_fault *fault, const cursor *c)
{
    char message[60];
    es_format(message, sizeof message, "byte 0x%02X is not UTF-8", (unsigned)(unsigned char)*c->at);
    return fail(fault, c, 1, "save the file as UTF-8 text", message);
}

static bool fail_control(es_lex_fault *fault, const cursor *c, uint32_t code)
{
    char message[60];
    if (code == 0) {
        fail(fault, c, 1, "this is not a text file", "a byte 0 stands in the text");
        fault->hopeless = true;
        return false;
    }
    if (code == '\t') return fail(fault, c, 1, "write a space", "a tab stands inside quoted text");
    es_format(message, sizeof message, "control character U+%04X stands in the text", (unsigned)code);
    return fail(fault, c, 1, "delete it", message);
}

/* Characters that word processors put where a plan wants plain ones. NULL: nothing wrong with it. */
static const char *lookalike(uint32_t code, const char **hint)
{
    if (code == 0xA0 || code == 0x2007 || code == 0x202F || code == 0x3000) {
        *hint = "write an ordinary space";
        return "a special space stands here";
    }
    if (code == 0xAB || code == 0xBB || (code >= 0x2018 && code <= 0x201F)) {
        *hint = "write straight quotation marks: \"";
        return "a typographic quotation mark stands here";
    }
    if ((code >= 0x2010 && code <= 0x2015) || code == 0x2212) {
        *hint = "write an ordinary '-'";
        return "a special dash stands here";
    }
    if (code == 0xFEFF) {
        *hint = "delete it: it may stand only at the start of the file";
        return "a byte order mark stands here";
    }
    return NULL;
}

/* Go over one character, which must be fit for the text. */
static bool step(cursor *c, bool quoted, es_lex_fault *fault)
{
    if (*c->at >= ' ' && *c->at <= '~') { /* nearly all of them */
        c->at++;
        c->column++;
        return true;
    }
    uint32_t code = 0;
    const size_t length = es_utf8_read(c->at, (size_t)(c->end - c->at), &code);
    if (!length) return fail_byte(fault, c);
    if (es_utf8_is_control(code)) return fail_control(fault, c, code);
    const char *hint = "";
    const char *wrong = quoted ? NULL : lookalike(code, &hint);
    if (wrong) return fail(fault, c, 1, hint, wrong);
    c->at += length;
    c->column++;
    return true;
}

static bool is_blank(char c)
{
    return c == ' ' || c == '\t';
}

static bool at_field_end(const cursor *c)
{
    return c->at == c->end || is_blank(*c->at) || *c->at == '#';
}

static bool is_escape(const char *at, const char *end)
{
    return *at == '\\' && at + 1 < end && (at[1] == '"' || at[1] == '\\');
}

size_t es_unquote(const char *value, size_t n, char *out)
{
    size_t written = 0;
    for (size_t i = 0; i < n; i++) {
        if (is_escape(value + i, value + n)) i++;
        out[written++] = value[i];
    }
    return written;
}

static bool read_quoted(cursor *c, es_token *token, es_lex_fault *fault)
{
    const cursor open = *c;
    c->at++;
    c->column++;
    token->quoted = true;
    token->value = c->at;
    token->value_column = c->column;
    while (c->at < c->end && *c->at != '"') {
        if (is_escape(c->at, c->end) && !step(c, true, fault)) return false;
        if (!step(c, true, fault)) return false;
    }
    if (c->at == c->end) {
        return fail(fault, &open, c->column - open.column, "write \" at the end of the text",
                    "the quoted text that starts here has no end");
    }
    token->n_value = (size_t)(c->at - token->value);
    c->at++;
    c->column++;
    if (at_field_end(c)) return true;
    return fail(fault, c, 1, "leave a space behind a quoted text; a quotation mark inside one is written \\\"",
                "the quoted text ends, but the field goes on");
}

static bool read_value(cursor *c, es_token *token, es_lex_fault *fault)
{
    if (c->at < c->end && *c->at == '"') return read_quoted(c, token, fault);
    token->value = c->at;
    token->value_column = c->column;
    while (!at_field_end(c)) {
        if (*c->at == '"') {
            return fail(fault, c, 1, "a quoted text stands alone or right behind '='",
                        "a quotation mark stands inside a word");
        }
        if (!step(c, false, fault)) return false;
        if (c->at[-1] == '=' && !token->key) return true;
    }
    token->n_value = (size_t)(c->at - token->value);
    return true;
}

/* Called when a word ended in '=': it was a key, and its value follows. */
static bool read_keyed(cursor *c, es_token *token, es_lex_fault *fault)
{
    const cursor start = {token->value, c->end, token->column};
    token->key = token->value;
    token->n_key = (size_t)(c->at - 1 - token->key);
    if (!token->n_key) {
        return fail(fault, &start, 1, "write key=value, without spaces", "there is no key in front of '='");
    }
    if (at_field_end(c)) {
        return fail(fault, &start, c->column - start.column, "write key=value, without spaces",
                    "there is no value behind '='");
    }
    return read_value(c, token, fault);
}

static bool read_field(cursor *c, es_token *token, es_lex_fault *fault)
{
    *token = (es_token){.column = c->column};
    if (!read_value(c, token, fault)) return false;
    const bool keyed = !token->quoted && c->at > token->value && c->at[-1] == '=';
    if (keyed && !read_keyed(c, token, fault)) return false;
    token->width = c->column - token->column;
    return true;
}

es_lex_outcome es_lex(const char *line, size_t n, es_tokens *tokens, es_lex_fault *fault)
{
    cursor c = {line, line + n, 1};
    tokens->n = 0;
    tokens->end_column = 1;
    for (;;) {
        while (c.at < c.end && is_blank(*c.at)) {
            c.at++;
            c.column++;
        }
        if (at_field_end(&c)) return ES_LEX_OK;
        void *items = tokens->token;
        if (!es_grow(&items, &tokens->capacity, tokens->n, sizeof(es_token))) return ES_LEX_MEMORY;
        tokens->token = items;
        if (!read_field(&c, &tokens->token[tokens->n], fault)) return ES_LEX_FAULT;
        tokens->n++;
        tokens->end_column = c.column;
    }
}
