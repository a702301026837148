/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "present/picture/storey.h"

#include <stdlib.h>
#include <string.h>

#include "base/arena.h"
#include "base/text.h"
#include "present/language/say.h"

typedef struct post_list {
    es_pen *pen;
    const es_frame *frame;
    es_arena *arena;
    es_label *label; /* [n] */
    es_mark *mark;   /* [n] */
    size_t n;
} post_list;

const char *es_storey_words(const earshot_plan *plan, unsigned storey)
{
    return plan->storey[storey].label ? plan->storey[storey].label : plan->storey[storey].name;
}

static bool is_inside(const es_frame *frame, earshot_point p)
{
    return p.x_m >= frame->low.x_m && p.x_m <= frame->high.x_m && p.y_m >= frame->low.y_m && p.y_m <= frame->high.y_m;
}

/* "garage-move: wire". */
static const char *label_words(post_list *l, const char *name, const char *verdict)
{
    if (!verdict) return name;
    earshot_text words = {0};
    es_text_format(&words, "%s: %s", name, verdict);
    const char *kept = words.failed ? NULL : es_arena_string(l->arena, words.data, words.size);
    earshot_text_clear(&words);
    if (!kept) l->pen->status = EARSHOT_MEMORY;
    return kept ? kept : name;
}

static void add(post_list *l, earshot_point at, es_mark mark, const char *words, bool important)
{
    if (!is_inside(l->frame, at)) return;
    l->mark[l->n] = mark;
    l->label[l->n++] = (es_label){.x = es_frame_x(l->frame, at.x_m),
                                  .y = es_frame_y(l->frame, at.y_m),
                                  .words = words,
                                  .bold = mark == ES_MARK_RECEIVER,
                                  .important = important};
}

static const char *number_words(post_list *l, size_t i)
{
    char figure[ES_SAY_FIGURE];
    es_say_figure(figure, l->pen->language, (double)i + 1.0, 0);
    const char *kept = es_arena_string(l->arena, figure, strlen(figure));
    if (!kept) l->pen->status = EARSHOT_MEMORY;
    return kept ? kept : "";
}

static void add_device(post_list *l, const es_posts *posts, size_t i)
{
    const earshot_device *d = &posts->plan->device[i];
    const char *name = posts->numbered ? number_words(l, i) : d->name;
    if (!posts->check) {
        add(l, d->point, ES_MARK_UNJUDGED, name, false);
        return;
    }
    const earshot_verdict verdict = posts->check->device[i].verdict;
    const char *word = verdict == EARSHOT_VERDICT_DIRECT ? NULL : es_say_verdict(l->pen->language, verdict);
    add(l, d->point, es_mark_of_verdict(verdict), label_words(l, name, word), word != NULL);
}

static bool is_fixed(const es_posts *posts, const char *name)
{
    return posts->fixed && strcmp(posts->fixed, name) == 0;
}

static bool is_repeater(const earshot_check *check, size_t mount)
{
    for (size_t i = 0; check && i < check->n_devices; i++)
        if (check->device[i].verdict == EARSHOT_VERDICT_REPEATER && check->device[i].mount == (long)mount) return true;
    return false;
}

/* Of several receivers drawn as alternatives only the one that matters is shown. */
static void add_posts(post_list *l, const es_posts *posts)
{
    const earshot_plan *plan = posts->plan;
    for (size_t i = 0; i < plan->n_receivers; i++)
        if (plan->receiver[i].storey == posts->storey && is_fixed(posts, plan->receiver[i].name))
            add(l, plan->receiver[i].point, ES_MARK_RECEIVER,
                posts->numbered ? es_message_text(l->pen->language, ES_SAY_MARK_RECEIVER) : plan->receiver[i].name,
                true);
    for (size_t i = 0; i < plan->n_mounts; i++) {
        const bool fixed = is_fixed(posts, plan->mount[i].name);
        if (plan->mount[i].storey != posts->storey || (posts->only_device != EARSHOT_NONE && !fixed)) continue;
        if (posts->numbered && !fixed && !is_repeater(posts->check, i)) continue;
        add(l, plan->mount[i].point, fixed ? ES_MARK_RECEIVER : ES_MARK_MOUNT,
            posts->numbered && !fixed ? es_say_verdict(l->pen->language, EARSHOT_VERDICT_REPEATER)
                                      : plan->mount[i].name,
            fixed);
    }
    for (size_t i = 0; i < plan->n_devices; i++) {
        const bool wanted = posts->only_device == EARSHOT_NONE || (size_t)posts->only_device == i;
        if (wanted && plan->device[i].storey == posts->storey) add_device(l, posts, i);
    }
}

static void add_crossings(post_list *l, const es_posts *posts)
{
    for (size_t i = 0; i < posts->n_crossings; i++) {
        l->mark[l->n] = ES_MARK_CROSSING;
        l->label[l->n++] = posts->crossing[i];
    }
}

void es_posts_draw(es_pen *pen, const es_frame *frame, const es_posts *posts, const es_box *taken, size_t n_taken)
{
    const size_t most =
        posts->plan->n_receivers + posts->plan->n_mounts + posts->plan->n_devices + posts->n_crossings + 1;
    post_list l = {.pen = pen, .frame = frame, .arena = es_arena_new()};
    l.label = calloc(most, sizeof *l.label);
    l.mark = calloc(most, sizeof *l.mark);
    if (l.arena && l.label && l.mark) {
        const es_box area = {frame->left + 1.0, frame->top + 1.0, frame->left + es_frame_width(frame) - 1.0,
                             frame->top + es_frame_height(frame) - 1.0};
        add_posts(&l, posts);
        add_crossings(&l, posts);
        es_labels_place(pen, l.label, l.n, area, taken, n_taken);
        es_labels_draw(pen, l.label, l.n);
        for (size_t i = 0; i < l.n; i++) es_mark_draw(pen, l.mark[i], l.label[i].x, l.label[i].y);
    } else {
        pen->status = EARSHOT_MEMORY;
    }
    free(l.label);
    free(l.mark);
    es_arena_free(l.arena);
}
