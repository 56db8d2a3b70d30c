/*
 * A plugin for the emulator QEMU (user mode, version 7.2 or later) that counts the
 * instructions that a program runs, of all its threads. Built by small-computer.sh.
 */
#include <stdint.h>
#include <stdio.h>

/* What is used of the plugin interface, version 1 (QEMU 7.2, include/qemu/qemu-plugin.h). */
struct qemu_plugin_tb;
extern void qemu_plugin_register_vcpu_tb_trans_cb(uint64_t, void (*)(uint64_t, struct qemu_plugin_tb *));
extern uint64_t qemu_plugin_tb_n_insns(const struct qemu_plugin_tb *);
extern void qemu_plugin_register_vcpu_tb_exec_inline(struct qemu_plugin_tb *, int, void *, uint64_t);
extern void qemu_plugin_register_atexit_cb(uint64_t, void (*)(uint64_t, void *), void *);
__attribute__((visibility("default"))) int qemu_plugin_version = 1;
static uint64_t count;

static void translated(uint64_t id, struct qemu_plugin_tb *block) {
	qemu_plugin_register_vcpu_tb_exec_inline(block, 0, &count, qemu_plugin_tb_n_insns(block));
}
static void done(uint64_t id, void *unused) { fprintf(stderr, "instructions %llu\n", (unsigned long long)count); }
__attribute__((visibility("default"))) int qemu_plugin_install(uint64_t id, const void *info, int argc, char **argv) {
	qemu_plugin_register_vcpu_tb_trans_cb(id, translated);
	qemu_plugin_register_atexit_cb(id, done, 0);
	return 0;
}
