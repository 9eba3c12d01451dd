# cmake -DCOMPILER=c++ -DINCLUDE=src -DCASE=case.cc -P check_case.cmake
function(complain text)
  message(NOTICE "${CASE}: ${text}")
  message(FATAL_ERROR "the case does not hold")
endfunction()

function(compile result output)
  execute_process(
    COMMAND ${CMAKE_COMMAND} -E env LC_ALL=C
      ${COMPILER} -std=c++20 -fsyntax-only -I${INCLUDE} ${ARGN} ${CASE}
    RESULT_VARIABLE code OUTPUT_VARIABLE out ERROR_VARIABLE out)
  set(${result} "${code}" PARENT_SCOPE)
  set(${output} "${out}" PARENT_SCOPE)
endfunction()

file(STRINGS ${CASE} expect REGEX "^// EXPECT: ")
list(LENGTH expect count)
if(NOT count EQUAL 1)
  complain("wants one line '// EXPECT: words'")
endif()
string(REPLACE "// EXPECT: " "" expect "${expect}")

compile(code output)
if(NOT code EQUAL 0)
  complain("the good twin does not compile:\n${output}")
endif()
compile(code output -DMUST_NOT_COMPILE)
if(code EQUAL 0)
  complain("compiled although it must not")
endif()
if(NOT output MATCHES "${expect}")
  complain("refused in other words than '${expect}':\n${output}")
endif()
