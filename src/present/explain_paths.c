/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The strongest paths of a link in words: what each goes through, where it turns. Only the rays model has several. */
#include <stdlib.h>
#include <string.h>

#include "base/text.h"
#include "present/explain.h"
#include "present/table.h"

enum { PATHS_TOLD = 3 };

static const char *deed_words(earshot_deed deed)
{
    switch (deed) {
    case EARSHOT_PASSES: return "through ";
    case EARSHOT_REFLECTED: return "reflected by ";
    case EARSHOT_DIFFRACTED: return "round an edge of ";
    }
    return "";
}

static void add_meeting(const es_subject *s, const earshot_meeting *meeting, earshot_text *words)
{
    es_text_add(words, deed_words(meeting->deed));
    if (meeting->element == EARSHOT_GROUND)
        es_text_add(words, "the ground");
    else
        es_element_words(s->check->site, meeting->element, words);
}

/* A piece that repeats the one before is counted, not said again: three desks of one kind, two leaves of one wall. */
static void add_piece(earshot_text *piece, earshot_text *before, size_t *times, earshot_text *words)
{
    if (before->data && piece->data && strcmp(before->data, piece->data) == 0) {
        ++*times;
        earshot_text_clear(piece);
        return;
    }
    if (*times > 1) es_text_format(words, " (%zu times)", *times);
    if (piece->data) es_text_format(words, "%s%s", before->data ? ", " : "", piece->data);
    earshot_text_clear(before);
    *before = *piece;
    *piece = (earshot_text){0};
    *times = 1;
}

/* From the device on: the path is traced from the receiver, so its meetings are read backwards. */
static void add_way(const es_subject *s, const earshot_path *path, earshot_text *words)
{
    earshot_text before = {0};
    size_t times = 1;
    for (size_t i = path->n_meetings; i-- > 0;) {
        earshot_text piece = {0};
        add_meeting(s, &path->meeting[i], &piece);
        if (piece.failed) words->failed = true;
        add_piece(&piece, &before, &times, words);
    }
    if (times > 1) es_text_format(words, " (%zu times)", times);
    if (path->n_meetings == 0) es_text_add(words, "straight, with nothing in between");
    earshot_text_clear(&before);
}

static bool turns(const earshot_path *path)
{
    for (size_t i = 0; i < path->n_meetings; i++)
        if (path->meeting[i].deed != EARSHOT_PASSES) return true;
    return false;
}

static void add_path(const es_subject *s, size_t number, const earshot_path *path, unsigned width, earshot_text *text)
{
    earshot_text words = {0};
    char first[8] = {(char)('1' + number), ' ', ' ', '\0'};
    const double below_db = path->gain_db < 0.0 ? -path->gain_db : 0.0;
    es_text_format(&words, "%.1f dB below a clear line, %.1f m long: ", below_db, path->length_m);
    if (!turns(path) && path->n_meetings > 0) es_text_add(&words, "straight ");
    add_way(s, path, &words);
    es_text_add_char(&words, '.');
    es_wrap_made(first, &words, width, text);
}

static earshot_status find_paths(const es_subject *s, earshot_path *path, size_t *n)
{
    const earshot_site *site = s->check->site;
    earshot_station device, receiver;
    earshot_status status = earshot_device_station(site, s->index, s->check->frequency_hz, &device);
    if (!status) status = earshot_receiver_station(site, s->check->receiver, s->check->frequency_hz, &receiver);
    if (status) return status;
    earshot_field *field;
    status = earshot_field_new(site, s->check->model, s->check->frequency_hz, receiver.at, receiver.radio->antenna,
                               EARSHOT_DETAIL_LINK, &field);
    if (!status) status = earshot_field_paths(field, device.at, device.radio->antenna, path, PATHS_TOLD, n);
    earshot_field_free(field);
    return status;
}

earshot_status es_explain_paths(const es_subject *subject, unsigned width, earshot_text *text)
{
    if (subject->check->model != EARSHOT_MODEL_RAYS) return EARSHOT_OK;
    earshot_path *path = calloc(PATHS_TOLD, sizeof *path);
    if (!path) return EARSHOT_MEMORY;
    size_t n = 0;
    const earshot_status status = find_paths(subject, path, &n);
    if (!status && n > 0) {
        es_text_format(text, "The strongest way%s from the device to the receiver:\n", n == 1 ? "" : "s");
        for (size_t i = 0; i < n; i++) add_path(subject, i, &path[i], width, text);
        es_text_add_char(text, '\n');
    }
    free(path);
    return status;
}
