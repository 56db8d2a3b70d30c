import{j as e}from"./sheet.js";var o=300;Promise.race([e,new Promise(t=>setTimeout(t,o))]).then(()=>import("./window.js"));
