#define _XOPEN_SOURCE_EXTENDED 1
#include "screen.h"

#include <locale.h>
#include <signal.h>
#include <stdlib.h>
#include <string.h>
#include <sys/ioctl.h>
#include <termios.h>
#include <unistd.h>

#include <ncurses.h>

#include "clock.h"

enum { SURE_MS = 3000, CLOCK_MS = 1000 };

static const char help[] = "arrows, page up and down: scroll; Tab or a digit: another desk; "
                           "q twice: end the watch; ?: this line";

struct screen {
    struct loop *loop;
    struct screen_owner owner;
    struct loop_poll *keys;
    struct loop_signal *resized, *continued;
    struct loop_timer *clock, *sure;
    size_t scroll, beyond, chosen, desks;
    int page; /* rows that a page key moves */
    bool asked, helps;
};

/* For a crash: what puts the terminal back. */
static struct termios before;
static char leave[64];

static void
on_abort(int number)
{
    tcsetattr(STDIN_FILENO, TCSANOW, &before);
    if (write(STDOUT_FILENO, leave, strlen(leave)) < 0)
        _exit(1); /* nothing can be said any more */
    signal(number, SIG_DFL);
    raise(number);
}

static void
remember_terminal(void)
{
    const char *mode = tigetstr("rmcup"), *cursor = tigetstr("cnorm");

    leave[0] = '\0';
    for (int i = 0; i < 2; i++) {
        const char *part = i == 0 ? cursor : mode;

        if (part && part != (const char *)-1 && strlen(leave) + strlen(part) < sizeof leave)
            strcat(leave, part);
    }
    signal(SIGABRT, on_abort);
    signal(SIGSEGV, on_abort);
}

/* ---- tones ---- */

static bool
has_colours(void)
{
    const char *none = getenv("NO_COLOR"); /* no-color.org */

    return has_colors() && !(none && *none);
}

/* The terminal's own background stays: dark where it is dark. */
static void
set_colours(void)
{
    if (!has_colours())
        return;
    start_color();
    use_default_colors();
    init_pair(TONE_STOP, COLOR_RED, -1);
    init_pair(TONE_FIX, COLOR_YELLOW, -1);
    init_pair(TONE_ALARM, COLOR_RED, -1);
    init_pair(TONE_HEAD, COLOR_CYAN, -1);
}

static attr_t
attributes(enum tone tone)
{
    attr_t colour = has_colours() ? (attr_t)COLOR_PAIR(tone) : A_NORMAL;

    switch (tone) {
    case TONE_STOP:
    case TONE_ALARM:
        return colour | A_BOLD;
    case TONE_HEAD:
        return colour | A_BOLD;
    case TONE_FIX:
        return colour;
    case TONE_DIM:
        return A_DIM;
    case TONE_PLAIN:
    case TONE_NOTE:
        break;
    }
    return A_NORMAL;
}

/* ---- drawing ---- */

struct pen {
    int row;
};

static void
draw_row(void *context, const struct view_row *row)
{
    struct pen *pen = context;

    attrset((int)attributes(row->tone));
    mvaddstr(pen->row++, 0, row->text);
    attrset(A_NORMAL);
    clrtoeol();
}

void
screen_draw(struct screen *screen, struct view *view)
{
    struct pen pen = {0};

    screen->desks = view->desk_count;
    if (screen->chosen >= view->desk_count)
        screen->chosen = 0;
    view->chosen = screen->chosen;
    view->prompt = screen->asked   ? "End the watch? q again within 3 s"
                   : screen->helps ? help
                                   : "? for the keys";
    clock_time(view->clock);
    screen->page = LINES > 8 ? LINES - 8 : 1;
    erase();
    screen->beyond = view_rows(view, COLS, LINES, screen->scroll, draw_row, &pen);
    if (screen->scroll > screen->beyond) {
        screen->scroll = screen->beyond;
        pen.row = 0;
        erase();
        view_rows(view, COLS, LINES, screen->scroll, draw_row, &pen);
    }
    refresh();
}

static void
draw(void *context)
{
    struct screen *screen = context;

    screen->owner.draw(screen->owner.context);
}

/* ---- keys ---- */

static void
scroll_by(struct screen *screen, int rows)
{
    if (rows < 0 && (size_t)-rows > screen->scroll)
        screen->scroll = 0;
    else
        screen->scroll += (size_t)rows; /* drawing holds it at the end */
}

static void
choose(struct screen *screen, size_t desk)
{
    if (screen->desks == 0)
        return;
    screen->chosen = desk % screen->desks;
    screen->scroll = 0;
}

static void
on_unsure(void *context)
{
    struct screen *screen = context;

    screen->asked = false;
    draw(screen);
}

/* False when the watch ends. */
static bool
take_key(struct screen *screen, int key)
{
    bool asked = screen->asked;

    screen->asked = false;
    if (key >= '1' && key <= '9' && (size_t)(key - '1') < screen->desks) {
        choose(screen, (size_t)(key - '1'));
        return true;
    }
    switch (key) {
    case KEY_UP:
        scroll_by(screen, -1);
        break;
    case KEY_DOWN:
        scroll_by(screen, 1);
        break;
    case KEY_PPAGE:
        scroll_by(screen, -screen->page);
        break;
    case KEY_NPAGE:
    case ' ':
        scroll_by(screen, screen->page);
        break;
    case '\t':
        choose(screen, screen->chosen + 1);
        break;
    case '?':
        screen->helps = !screen->helps;
        break;
    case 'L' - '@': /* Ctrl-L */
        clearok(curscr, TRUE);
        break;
    case 'q':
        if (asked) {
            screen->owner.end(screen->owner.context);
            return false;
        }
        screen->asked = true;
        loop_timer_start(screen->sure, SURE_MS, 0);
        break;
    default:
        break;
    }
    return true;
}

static void
on_keys(void *context, bool readable, bool writable)
{
    struct screen *screen = context;
    int key;

    (void)readable;
    (void)writable;
    while ((key = getch()) != ERR)
        if (!take_key(screen, key))
            return;
    if (screen_is_gone(screen))
        loop_poll_want(screen->keys, false, false); /* or it would call without end */
    draw(screen);
}

static void
on_resized(void *context, int number)
{
    struct screen *screen = context;
    struct winsize size;

    (void)number;
    if (ioctl(STDOUT_FILENO, TIOCGWINSZ, &size) == 0 && size.ws_row > 0 && size.ws_col > 0)
        resizeterm(size.ws_row, size.ws_col);
    clearok(curscr, TRUE);
    draw(screen);
}

/* ---- opening and closing ---- */

bool
screen_is_gone(const struct screen *screen)
{
    struct termios now;

    (void)screen;
    return tcgetattr(STDOUT_FILENO, &now) != 0;
}

struct screen *
screen_open(struct loop *loop, struct screen_owner owner)
{
    struct screen *screen;

    if (tcgetattr(STDIN_FILENO, &before) != 0)
        return NULL;
    /* characters alone: numbers keep their decimal point */
    if (!setlocale(LC_CTYPE, "") || MB_CUR_MAX < 2)
        setlocale(LC_CTYPE, "C.UTF-8");
    if (!newterm(NULL, stdout, stdin))
        return NULL;
    screen = calloc(1, sizeof *screen);
    if (!screen)
        abort();
    remember_terminal();
    set_colours();
    cbreak();
    noecho();
    nodelay(stdscr, TRUE);
    keypad(stdscr, TRUE);
    curs_set(0);
    screen->loop = loop;
    screen->owner = owner;
    screen->keys = loop_poll_open(loop, STDIN_FILENO, on_keys, screen);
    screen->resized = loop_signal_open(loop, SIGWINCH, on_resized, screen);
    screen->continued = loop_signal_open(loop, SIGCONT, on_resized, screen);
    screen->clock = loop_timer_open(loop, draw, screen);
    screen->sure = loop_timer_open(loop, on_unsure, screen);
    if (screen->keys)
        loop_poll_want(screen->keys, true, false);
    loop_timer_start(screen->clock, 0, CLOCK_MS);
    return screen;
}

void
screen_close(struct screen *screen)
{
    if (!screen)
        return;
    endwin();
    signal(SIGABRT, SIG_DFL);
    signal(SIGSEGV, SIG_DFL);
    if (screen->keys)
        loop_poll_close(screen->keys);
    loop_signal_close(screen->resized);
    loop_signal_close(screen->continued);
    loop_timer_close(screen->clock);
    loop_timer_close(screen->sure);
    free(screen);
}
