"""Compiles a JSGF grammar with Debian's libsphinxbase3 (CMU Sphinx), the reference of jsgfReference.test.ts.

    python3 compileReference.py command.jsgf com.acme.commands.basicCmd | sed -n "/FSG_BEGIN/,/FSG_END/p" > command.fsg
"""
import ctypes, sys, tempfile
lib = ctypes.CDLL('libsphinxbase.so.3')
for name in ('jsgf_parse_file', 'jsgf_get_rule', 'jsgf_build_fsg', 'logmath_init'):
    getattr(lib, name).restype = ctypes.c_void_p
lib.logmath_init.argtypes = [ctypes.c_double, ctypes.c_int, ctypes.c_int]
lib.jsgf_parse_file.argtypes = [ctypes.c_char_p, ctypes.c_void_p]
lib.jsgf_get_rule.argtypes = [ctypes.c_void_p, ctypes.c_char_p]
lib.jsgf_build_fsg.argtypes = [ctypes.c_void_p, ctypes.c_void_p, ctypes.c_void_p, ctypes.c_float]
lib.fsg_model_writefile.argtypes = [ctypes.c_void_p, ctypes.c_char_p]
file, rule = sys.argv[1:3]
grammar = lib.jsgf_parse_file(file.encode(), None)
if not grammar:
    sys.exit(f'{file} cannot be parsed')
found = lib.jsgf_get_rule(grammar, f'{rule}'.encode())
if not found:
    sys.exit(f'no rule {rule}')
fsg = lib.jsgf_build_fsg(grammar, found, lib.logmath_init(1.0001, 0, 0), 1.0)
with tempfile.NamedTemporaryFile('r') as out:
    lib.fsg_model_writefile(fsg, out.name.encode())
    print(out.read(), end='')
