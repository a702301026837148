/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "coverage/share.h"

#include <stdatomic.h>

#ifdef _OPENMP
#include <omp.h>
#endif

enum { REPORTS = 200 };   /* at most so many calls of the watch */
enum { PORTIONS = 1024 }; /* the work is dealt out in about so many */

typedef struct shared {
    es_item *item;
    void *work;
    const earshot_watch *watch; /* NULL: nobody watches */
    size_t n;
    size_t next_report;    /* touched by the first thread alone */
    earshot_status status; /* of the item that failed */
    atomic_size_t done;    /* items finished */
    atomic_size_t failed;  /* lowest item that failed; n: none */
    atomic_bool stopped;
} shared;

static bool is_first_thread(void)
{
#ifdef _OPENMP
    return omp_get_thread_num() == 0;
#else
    return true;
#endif
}

static void note_failure(shared *s, size_t i, earshot_status status)
{
#ifdef _OPENMP
#pragma omp critical(es_share_failure)
#endif
    if (i < atomic_load(&s->failed)) {
        s->status = status;
        atomic_store(&s->failed, i);
    }
}

static void report(shared *s)
{
    if (!s->watch || !is_first_thread()) return;
    const size_t done = atomic_load(&s->done);
    if (done < s->next_report) return;
    s->next_report = done + s->n / REPORTS + 1;
    if (!s->watch->progress(s->watch->context, (double)done / (double)s->n)) atomic_store(&s->stopped, true);
}

/* Items after one that failed need not be done, those before it must: one of them may fail too. */
static void do_item(shared *s, size_t i)
{
    if (atomic_load(&s->stopped) || i > atomic_load(&s->failed)) return;
    const earshot_status status = s->item(s->work, i);
    if (status) note_failure(s, i, status);
    atomic_fetch_add(&s->done, 1);
    report(s);
}

earshot_status es_share(size_t n, es_item *item, void *work, const earshot_watch *watch)
{
    shared s = {.item = item, .work = work, .watch = watch && watch->progress ? watch : NULL, .n = n};
    atomic_init(&s.done, 0);
    atomic_init(&s.failed, n);
    atomic_init(&s.stopped, false);
#ifdef _OPENMP
#pragma omp parallel for schedule(dynamic, n / PORTIONS + 1)
#endif
    for (size_t i = 0; i < n; i++) do_item(&s, i);
    if (atomic_load(&s.stopped)) return EARSHOT_INTERNAL;
    return s.status;
}
