/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Fields that hold a list of pairs: layers=brick:102mm,air:50mm  loss=433:11dB,868:16dB  swap=glass:shutter. */
#include <string.h>

#include "plan/fields.h"

es_pieces es_pieces_of(const char *text, size_t n)
{
    return (es_pieces){.at = text, .end = text + n};
}

bool es_next_piece(es_pieces *pieces, const char **piece, size_t *n)
{
    if (pieces->over) return false;
    const size_t left = (size_t)(pieces->end - pieces->at);
    const char *comma = left ? memchr(pieces->at, ',', left) : NULL;
    *piece = pieces->at;
    *n = comma ? (size_t)(comma - pieces->at) : left;
    pieces->at = comma ? comma + 1 : pieces->end;
    pieces->over = !comma;
    return true;
}

/* One "left:right" of a list. */
typedef struct pair {
    const char *left, *right;
    size_t n_left, n_right;
} pair;

static const char *pair_form(es_field_type type)
{
    switch (type) {
    case ES_FIELD_LAYERS: return "layers are CLASS:THICKNESS, with commas and no space: layers=brick:102mm,air:50mm";
    case ES_FIELD_LOSSES: return "losses are MHz:dB, with commas and no space: loss=433:11dB,868:16dB";
    default: return "swaps are FROM:TO, with commas and no space: swap=double-glazing:roller-shutter";
    }
}

static bool split_pair(es_reader *reader, const es_field *field, const es_token *token, const char *piece, size_t n,
                       pair *out)
{
    const char *colon = n ? memchr(piece, ':', n) : NULL;
    if (!colon || colon == piece || colon + 1 == piece + n) {
        char shown[ES_SHOWN];
        es_hint(es_syntax(reader, es_value_place(reader, token, piece, n), "'%s' cannot stand in %s",
                          es_show(shown, piece, n), field->key),
                "%s", pair_form(field->type));
        return false;
    }
    *out = (pair){piece, colon + 1, (size_t)(colon - piece), (size_t)(piece + n - colon - 1)};
    return true;
}

static bool read_layer(es_reader *reader, const es_field *field, const es_token *token, pair p, void *out)
{
    earshot_layer *layer = out;
    const es_field thickness = {.key = "a thickness", .dimension = ES_LENGTH, .low = field->low, .high = field->high};
    return es_read_name(reader, token, p.left, p.n_left, &layer->electrical) &&
           es_read_quantity(reader, &thickness, token, p.right, p.n_right, &layer->thickness_m);
}

static bool read_loss(es_reader *reader, const es_field *field, const es_token *token, pair p, void *out)
{
    earshot_loss_entry *entry = out;
    const es_field frequency = {.key = "a frequency", .dimension = ES_FREQUENCY, .low = 1e6, .high = 1e12};
    const es_field loss = {.key = "a loss", .dimension = ES_RATIO, .low = field->low, .high = field->high};
    return es_read_quantity(reader, &frequency, token, p.left, p.n_left, &entry->frequency_hz) &&
           es_read_quantity(reader, &loss, token, p.right, p.n_right, &entry->loss_db);
}

static bool read_swap(es_reader *reader, const es_field *field, const es_token *token, pair p, void *out)
{
    (void)field;
    earshot_swap *swap = out;
    return es_read_name(reader, token, p.left, p.n_left, &swap->from) &&
           es_read_name(reader, token, p.right, p.n_right, &swap->to);
}

typedef bool read_pair(es_reader *reader, const es_field *field, const es_token *token, pair p, void *out);

static size_t count_pieces(const es_token *token)
{
    size_t n = 1;
    for (size_t i = 0; i < token->n_value; i++) n += token->value[i] == ',';
    return n;
}

/* The list, in the arena; NULL when an element is wrong (reported) or memory is out. */
static void *read_pairs(es_reader *reader, const es_field *field, const es_token *token, read_pair *read, size_t size)
{
    const size_t n = count_pieces(token);
    char *items = es_arena_take(reader->arena, n, size);
    if (!items) {
        reader->memory_out = true;
        return NULL;
    }
    es_pieces pieces = es_pieces_of(token->value, token->n_value);
    const char *piece;
    size_t length;
    for (size_t i = 0; es_next_piece(&pieces, &piece, &length); i++) {
        pair p;
        if (!split_pair(reader, field, token, piece, length, &p)) return NULL;
        if (!read(reader, field, token, p, items + i * size)) return NULL;
    }
    return items;
}

bool es_list_field_read(es_reader *reader, const es_field *field, const es_token *token, void *item)
{
    void *member = (char *)item + field->at;
    void *items = NULL;
    switch (field->type) {
    case ES_FIELD_LAYERS:
        items = read_pairs(reader, field, token, read_layer, sizeof(earshot_layer));
        if (items) *(const earshot_layer **)member = items;
        break;
    case ES_FIELD_LOSSES:
        items = read_pairs(reader, field, token, read_loss, sizeof(earshot_loss_entry));
        if (items) *(const earshot_loss_entry **)member = items;
        break;
    case ES_FIELD_SWAPS:
        items = read_pairs(reader, field, token, read_swap, sizeof(earshot_swap));
        if (items) *(const earshot_swap **)member = items;
        break;
    default: break;
    }
    if (items) *(size_t *)((char *)item + field->count_at) = count_pieces(token);
    return items != NULL;
}
