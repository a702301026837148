/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Bytes to lines, a line to fields. Knows quotes and '=', not what statements mean. */
#ifndef ES_LEXER_H
#define ES_LEXER_H

#include <stdbool.h>
#include <stddef.h>

/* One field of a line: `value`, `"value"`, `key=value` or `key="value"`. Points into the line, so that backslashes
 * before quotation marks and backslashes still stand in a quoted value: es_unquote takes them out. */
typedef struct es_token {
    const char *key; /* NULL: a positional field */
    const char *value;
    size_t n_key, n_value;
    bool quoted;
    unsigned column, width; /* of the whole field, in characters from 1 */
    unsigned value_column;  /* of the first character of the value, inside its quotes */
} es_token;

typedef struct es_tokens {
    es_token *token; /* malloc'ed, grows; free(token) at the end */
    size_t n, capacity;
    unsigned end_column; /* just behind the last field */
} es_tokens;

/* What is wrong with a line that cannot be cut into fields. */
typedef struct es_lex_fault {
    unsigned column, width;
    bool hopeless; /* the file is no text: reading on makes no sense */
    char message[120];
    const char *hint;
} es_lex_fault;

typedef enum es_lex_outcome { ES_LEX_OK, ES_LEX_FAULT, ES_LEX_MEMORY } es_lex_outcome;

/* Where reading stands in a text. */
typedef struct es_lines {
    const char *text;
    size_t size, at;
    unsigned line; /* of the line last given, from 1 */
} es_lines;

/* Starts behind a UTF-8 byte order mark, if there is one. */
es_lines es_lines_of(const char *text, size_t size);
/* The next line without its line end (LF, CR LF or CR); false at the end of the text. */
bool es_next_line(es_lines *lines, const char **line, size_t *n);

/* Cut a line into fields, replacing what tokens held. */
es_lex_outcome es_lex(const char *line, size_t n, es_tokens *tokens, es_lex_fault *fault);

/* The text that a quoted value means: \" is a quotation mark, \\ a backslash; any other backslash is itself. Writes at
 * most n bytes, returns how many. */
size_t es_unquote(const char *value, size_t n, char *out);

#endif
