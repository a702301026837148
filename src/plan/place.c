/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "plan/place.h"

#include <string.h>

#include "base/utf8.h"
#include "plan/fields.h"

static bool cut_again(es_reader *reader, earshot_place statement)
{
    const char *line;
    size_t n;
    es_lex_fault fault;
    reader->tokens.n = 0;
    /* Finding the line again costs a pass over the text: not worth it for what is only counted. Warnings come last, and
     * only where there are no mistakes. */
    if (es_report_full(&reader->report) || es_report_warned(&reader->report)) return false;
    if (!es_source_line(&reader->sources.item[statement.file], statement.line, &line, &n)) return false;
    reader->file = statement.file;
    reader->line = statement.line;
    return es_lex(line, n, &reader->tokens, &fault) == ES_LEX_OK;
}

static const es_token *find_key(const es_tokens *tokens, const char *key)
{
    const size_t n = strlen(key);
    for (size_t i = 0; i < tokens->n; i++) {
        const es_token *token = &tokens->token[i];
        if (token->key && token->n_key == n && memcmp(token->key, key, n) == 0) return token;
    }
    return NULL;
}

earshot_place es_key_place(es_reader *reader, earshot_place statement, const char *key)
{
    if (!cut_again(reader, statement)) return statement;
    const es_token *token = find_key(&reader->tokens, key);
    return token ? es_value_place(reader, token, token->value, token->n_value) : statement;
}

earshot_place es_element_place(es_reader *reader, earshot_place statement, const char *key, size_t i)
{
    if (!cut_again(reader, statement)) return statement;
    const es_token *token = find_key(&reader->tokens, key);
    if (!token) return statement;
    es_pieces pieces = es_pieces_of(token->value, token->n_value);
    const char *piece = token->value;
    size_t n = token->n_value;
    for (size_t at = 0; at <= i && es_next_piece(&pieces, &piece, &n); at++) continue;
    return es_value_place(reader, token, piece, n);
}

/* `use "file"` and `site "text"` are quoted and positional; everywhere else a quoted field alone is a label. */
static bool counts(const es_tokens *tokens, const es_token *token)
{
    const es_token *keyword = &tokens->token[0];
    const bool of_use = keyword->n_value == 3 && memcmp(keyword->value, "use", 3) == 0;
    return !token->key && (!token->quoted || of_use);
}

earshot_place es_positional_place(es_reader *reader, earshot_place statement, size_t i)
{
    if (!cut_again(reader, statement)) return statement;
    size_t seen = 0;
    for (size_t t = 1; t < reader->tokens.n; t++) {
        const es_token *token = &reader->tokens.token[t];
        if (!counts(&reader->tokens, token)) continue;
        if (seen++ == i) return es_token_place(reader, token);
    }
    return statement;
}
