/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "present/report/document.h"

#include <stdlib.h>
#include <string.h>

#include "base/text.h"

static void fail(es_document *d)
{
    if (d->status == EARSHOT_OK) d->status = EARSHOT_MEMORY;
}

bool es_document_open(es_document *document, earshot_language language, earshot_paper paper)
{
    *document = (es_document){.arena = es_arena_new(), .language = language, .paper = paper};
    return document->arena != NULL;
}

void es_document_close(es_document *document)
{
    for (size_t i = 0; i < document->n; i++) free(document->block[i].cell);
    for (size_t i = 0; i < document->n_owned; i++) document->owned[i].clear(document->owned[i].thing);
    free(document->owned);
    free(document->block);
    es_arena_free(document->arena);
    earshot_text_clear(&document->scratch);
    *document = (es_document){0};
}

void *es_document_take(es_document *document, size_t size)
{
    void *memory = document->status ? NULL : es_arena_take(document->arena, 1, size);
    if (!memory) fail(document);
    return memory;
}

void es_document_own(es_document *document, void *thing, void (*clear)(void *thing))
{
    if (es_grow((void **)&document->owned, &document->owned_capacity, document->n_owned, sizeof *document->owned)) {
        document->owned[document->n_owned++] = (es_owned){thing, clear};
        return;
    }
    clear(thing);
    fail(document);
}

const char *es_document_copy(es_document *document, const char *words)
{
    const char *copy = words ? es_arena_string(document->arena, words, strlen(words)) : NULL;
    if (words && !copy) fail(document);
    return copy ? copy : "";
}

static es_block *add(es_document *d, es_block_kind kind)
{
    if (d->status) return NULL;
    if (!es_grow((void **)&d->block, &d->capacity, d->n, sizeof *d->block)) {
        fail(d);
        return NULL;
    }
    es_block *block = &d->block[d->n++];
    *block = (es_block){.kind = kind, .words = "", .instead = ""};
    return block;
}

void es_document_words(es_document *document, es_block_kind kind, unsigned level, const char *words)
{
    const char *copy = es_document_copy(document, words);
    es_block *block = add(document, kind);
    if (!block) return;
    block->level = level;
    block->words = copy;
    if (kind == ES_BLOCK_HEADING && level == 1) document->title = copy;
}

void es_document_scratch(es_document *document, es_block_kind kind, unsigned level)
{
    if (document->scratch.failed) fail(document);
    if (document->scratch.size) es_document_words(document, kind, level, document->scratch.data);
    document->scratch.size = 0;
}

void es_document_values(es_document *document, es_block_kind kind, unsigned level, es_message message,
                        const char *const *value, size_t n)
{
    es_say_values(&document->scratch, document->language, message, value, n);
    es_document_scratch(document, kind, level);
}

void es_document_page(es_document *document)
{
    add(document, ES_BLOCK_PAGE);
}

es_block *es_document_table(es_document *document, size_t columns, const char *caption)
{
    const char *copy = es_document_copy(document, caption);
    es_block *block = add(document, ES_BLOCK_TABLE);
    if (!block) return NULL;
    block->columns = columns;
    block->words = copy;
    return block;
}

void es_document_cell(es_document *document, const char *words)
{
    const char *copy = es_document_copy(document, words);
    if (document->status || document->n == 0) return;
    es_block *table = &document->block[document->n - 1];
    if (!es_grow((void **)&table->cell, &table->cell_capacity, table->n_cells, sizeof *table->cell)) {
        fail(document);
        return;
    }
    table->cell[table->n_cells++] = copy;
}

void es_document_cell_scratch(es_document *document)
{
    if (document->scratch.failed) fail(document);
    es_document_cell(document, document->scratch.size ? document->scratch.data : "");
    document->scratch.size = 0;
}

void es_document_cell_figure(es_document *document, double value, int decimals)
{
    char figure[ES_SAY_FIGURE];
    es_document_cell(document, es_say_figure(figure, document->language, value, decimals));
}

void es_document_picture(es_document *document, es_picture picture, const char *caption, const char *instead)
{
    const char *words = es_document_copy(document, caption), *told = es_document_copy(document, instead);
    es_block *block = add(document, ES_BLOCK_PICTURE);
    if (!block) return;
    block->picture = picture;
    block->words = words;
    block->instead = told;
}
